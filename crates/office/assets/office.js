const jobs = document.getElementById("jobs");
const said = document.getElementById("said");
const drawings = document.getElementById("drawings");

const link = (href, text) => Object.assign(document.createElement("a"), { href, textContent: text });
const cell = (...parts) => {
  const td = document.createElement("td");
  td.append(...parts);
  return td;
};

async function ask(path, options) {
  const answer = await fetch(path, options);
  const body = await answer.json();
  if (!answer.ok) throw new Error(`${body.message} ${body.what_to_do}`);
  return body;
}

function row(job) {
  const tr = document.createElement("tr");
  const f = job.findings;
  const tally = f ? `${f.error} errors, ${f.warning} warnings, ${f.note} notes` : "";
  const at = `/api/jobs/${job.id}`;
  const results = job.state === "done" ? [link(`${at}/zip`, "all as zip")] : [job.message ?? ""];
  tr.append(cell(`${job.file} (${job.id})`), cell(job.stage ?? job.state), cell(tally), cell(...results));
  return tr;
}

async function show() {
  try {
    const all = (await ask("/api/jobs")).jobs;
    jobs.replaceChildren(...all.map(row));
    const open = all.some((j) => j.state === "waiting" || j.state === "working");
    setTimeout(show, open ? 500 : 3000);
  } catch (e) {
    said.textContent = `The server does not answer. ${e.message}`;
    setTimeout(show, 3000);
  }
}

drawings.addEventListener("change", async () => {
  for (const file of drawings.files) {
    said.textContent = `Sending ${file.name}`;
    try {
      const headers = { "content-type": "application/octet-stream" };
      const to = `/api/jobs?name=${encodeURIComponent(file.name)}`;
      said.textContent = (await ask(to, { method: "POST", headers, body: file })).told.join(" ");
    } catch (e) {
      said.textContent = e.message;
    }
  }
  drawings.value = "";
});

show();
