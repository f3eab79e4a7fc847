"use strict";(()=>{var ds="http://www.w3.org/2000/svg",l=(s,t,...e)=>{let n=document.createElement(s);return t&&(n.textContent=t),n.append(...e),n},b=(s,t={})=>{
let e=document.createElementNS(ds,s);for(let[n,o]of Object.entries(t))e.setAttribute(n,String(o));return e},x=s=>l("bdi",s),L=(s,t)=>`${s} ${t}${s===
1?"":"s"}`,ht=(s,t)=>{let e=s.querySelector(t);if(!e)throw new Error(`the page has no ${t}`);return e},je=s=>s.target instanceof Element?s.target:
null;var F=class extends Error{status;code;whatToDo;constructor(t,e,n,o){super(n),this.status=t,this.code=e,this.whatToDo=o}},we=new F(0,"server-\
gone","The server does not answer.","Start \u201Cplatewright serve\u201D again. What the server has confirmed is kept on disk; this page goes on by it\
self."),ye=s=>new F(s,"strange-answer",`The server gave an answer that this page does not understand (status ${s}).`,"Load the page again: t\
he program may have been replaced by another version."),cs=s=>typeof s=="object"&&s!==null&&"message"in s&&"what_to_do"in s,Je=(s,t)=>{try{let e=JSON.
parse(t);if(cs(e))return new F(s,e.code,e.message,e.what_to_do)}catch{}return s===0?we:ye(s)},C=async(s,t,e,n)=>{let o,i;try{o=await fetch(t,
{method:s,...n?{signal:n}:{},...e===void 0?{}:{body:JSON.stringify(e),headers:{"content-type":"application/json"}}}),i=await o.text()}catch(r){
throw n?.aborted?r:we}if(!o.ok)throw Je(o.status,i);if(o.status!==204)try{return JSON.parse(i)}catch{throw ye(o.status)}},P=(s,t="")=>`/api/\
jobs/${encodeURIComponent(s)}${t}`,Be=()=>C("GET","/api/about"),Ke=()=>C("GET","/api/codes"),It=()=>C("GET","/api/jobs"),Et=s=>C("GET",P(s)),
ze=(s,t)=>C("PATCH",P(s),t),qe=s=>C("DELETE",P(s)),Ut=s=>C("POST",P(s,"/cancel")),Vt=s=>C("POST",P(s,"/again")),jt=s=>C("GET",P(s,"/drawing")),
Jt=s=>C("GET",P(s,"/reading")),ve=s=>C("GET",P(s,"/plan")),be=s=>C("GET",P(s,"/overrides")),Ye=(s,t,e)=>C("PUT",P(s,"/overrides"),{edition:t,
overrides:e}),Xe=s=>C("GET",P(s,"/settings")),Ze=(s,t,e)=>C("PUT",P(s,"/settings"),{edition:t,toml:e}),Qe=(s,t,e)=>C("PUT",P(s,`/findings/${encodeURIComponent(
t)}`),{looked_at:e}),tn=s=>C("GET",P(s,"/files")),en=(s,t)=>C("GET",P(s,`/compare/${encodeURIComponent(t)}`)),nn=(s,t)=>P(s,`/files/${encodeURIComponent(
t)}`),sn=s=>P(s,"/zip"),on=s=>P(s,"/overrides.toml"),xe=(s,t)=>P(s,`/compare/${encodeURIComponent(t)}/changes.svg`),rn=(s,t,e)=>{let n=new XMLHttpRequest,
o=new URLSearchParams({name:s.name});return t.revision_of&&o.set("revision_of",t.revision_of),t.again&&o.set("again","true"),{done:new Promise(
(r,a)=>{n.open("POST",`/api/jobs?${o}`),n.setRequestHeader("content-type","application/octet-stream"),n.upload.onprogress=d=>d.lengthComputable&&
e(d.loaded/d.total),n.onload=()=>{if(n.status<200||n.status>=300)return a(Je(n.status,n.responseText));try{r(JSON.parse(n.responseText))}catch{
a(ye(n.status))}},n.onerror=()=>a(we),n.onabort=()=>a(new F(0,"stopped","You stopped this upload.","Nothing was kept of it.")),n.send(s)}),stop:()=>n.
abort()}};var m=(s,t,e="")=>{let n=l("button",s);return n.type="button",n.className=e,n.addEventListener("click",t),n},R=(s,t,e=!1)=>{let n=l("a",s);return n.
href=t,e&&(n.download=""),n},_=(s,t,e,n)=>{let o=l("select");for(let[i,r]of t){let a=l("option",r);a.value=i,a.selected=i===e,o.append(a)}return o.
addEventListener("change",()=>n(o.value)),pt(s,o)},hs=0,pt=(s,t)=>{let e=l("label",s);return t.id=e.htmlFor=`field-${++hs}`,u("field",l("div",
null,e,t))},nt=(s,t,e)=>{let n=l("input");n.type="checkbox",n.checked=t,n.addEventListener("change",()=>e(n.checked));let o=l("label",null,n,
` ${s}`);return o.className="check",o},Tt=(s,t,e,n)=>{let o=l("input");o.type="text",o.value=t,o.placeholder=e,o.autocomplete="off",o.spellcheck=
!1;let i=l("small");i.className="complaint",i.setAttribute("role","alert"),o.addEventListener("change",()=>{let a=n(o.value);i.textContent=a??
"",o.setAttribute("aria-invalid",String(a!==null))});let r=pt(s,o);return r.append(i),r},u=(s,t)=>(t.setAttribute("class",s),t),E=(s,t,...e)=>{
let n=l("dd",null,...e);s.append(l("dt",t),n)},T=s=>s instanceof F?s:new F(0,"page-error",`The page made a mistake: ${s instanceof Error?s.message:
String(s)}.`,"Load the page again."),W=s=>u("trouble",l("div",null,l("p",s.message),l("p",s.whatToDo))),an=(s,t,e,n)=>{let o=l("dialog"),[i,
r]=[l("h2",s),l("p",t)];i.id="asked",r.id="asked-why",o.setAttribute("aria-labelledby",i.id),o.setAttribute("aria-describedby",r.id);let a=l(
"div",null,m("Keep it",()=>o.close()),m(e,()=>{o.close(),n()},"grave"));a.className="actions",o.append(i,r,a),o.addEventListener("close",()=>o.
remove()),document.body.append(o),o.showModal()};var Bt=!1,Kt=()=>Bt,ln=s=>{let{svg:t}=s,e=new Map,n=0,o=()=>{let[r={x:0,y:0},a=r]=e.values();return{x:(r.x+a.x)/2,y:(r.y+a.y)/2,apart:Math.hypot(
r.x-a.x,r.y-a.y)}};t.addEventListener("pointerdown",r=>{r.pointerType==="mouse"&&r.button!==0&&r.button!==1||(e.set(r.pointerId,{x:r.clientX,
y:r.clientY}),e.size===1&&(n=0,Bt=!1))}),t.addEventListener("pointermove",r=>{if(!e.has(r.pointerId))return;let a=o();e.set(r.pointerId,{x:r.
clientX,y:r.clientY});let d=o(),[c,p]=[d.x-a.x,d.y-a.y];n+=Math.hypot(c,p)+Math.abs(d.apart-a.apart),!(n<5)&&(Bt||(Bt=!0,t.setPointerCapture(
r.pointerId),t.classList.add("moving")),e.size>1&&a.apart>0&&s.zoom(d.apart/a.apart,s.at(d.x,d.y)),s.pan(c,p))});let i=r=>{e.delete(r.pointerId),
e.size===0&&t.classList.remove("moving")};for(let r of["pointerup","pointercancel","lostpointercapture"])t.addEventListener(r,i);t.addEventListener(
"pointerleave",r=>{t.hasPointerCapture(r.pointerId)||i(r)});for(let r of["touchstart","touchmove"])t.addEventListener(r,a=>{a.touches.length>
1&&a.cancelable&&a.preventDefault()},{passive:!1});t.addEventListener("wheel",r=>{let a=r.timeStamp-dn<300,d=s.isWhole&&r.deltaY>0&&!r.ctrlKey;
if(a||d)return;r.preventDefault();let c=r.deltaY*(r.deltaMode===1?16:r.deltaMode===2?400:1),p=Math.exp(-Math.max(-200,Math.min(200,c))*(r.ctrlKey?
.01:.002));s.zoom(p,s.at(r.clientX,r.clientY))},{passive:!1}),t.addEventListener("keydown",r=>{if(r.ctrlKey||r.metaKey||r.altKey)return;let a={
"+":()=>s.zoom(1.4),"=":()=>s.zoom(1.4),"-":()=>s.zoom(1/1.4),0:()=>s.whole(),ArrowLeft:()=>s.pan(60,0),ArrowRight:()=>s.pan(-60,0),ArrowUp:()=>s.
pan(0,60),ArrowDown:()=>s.pan(0,-60)}[r.key];a&&(r.preventDefault(),a())})},dn=-300;document.addEventListener("scroll",s=>{s.target===document&&
(dn=s.timeStamp)},{passive:!0});var Lt=s=>{let t=Math.round(Math.abs(s)*16),e=s<0&&t>0?"\u2212":"",n=Math.floor(t/192),o=Math.floor(t%192/16),[i,r]=[t%16,16];for(;i>0&&i%2===
0;)[i,r]=[i/2,r/2];let a=i>0?`${i}/${r}`:"",d=a===""?`${o}"`:o===0&&n===0?`${a}"`:`${o} ${a}"`;return e+(n>0?`${n}'-${d}`:d)},ke=s=>`${Math.
round(s*25.4).toLocaleString("en-US")} mm`,U=(s,t)=>t?`${ke(s)} (${Lt(s)})`:`${Lt(s)} (${ke(s)})`,st=(s,t)=>t?ke(s):Lt(s),ps=String.raw`(?:\d+\s*\/\s*\d+)`,
us=new RegExp(String.raw`^(\d+(?:\.\d+)?)\s*(?:'|ft|feet|′)\s*-?\s*(.*)$`,"i"),fs=new RegExp(String.raw`^(?:(\d+(?:\.\d+)?)(?:\s+|-)?)?(${ps})?\s*(?:"|in|inches|″|'')?$`,
"i"),ms=/^(\d+(?:\.\d+)?)\s*(mm|cm|m)$/i,gs={mm:1/25.4,cm:10/25.4,m:1e3/25.4},cn=s=>{let t=fs.exec(s);if(!t||t[1]===void 0&&t[2]===void 0)return null;
let[e=0,n=1]=t[2]===void 0?[]:t[2].split("/").map(Number);return n===0?null:Number(t[1]??0)+e/n},hn=s=>{let t=s.trim().replace(/[’]/g,"'").
replace(/[”“]/g,'"'),e=ms.exec(t);if(e)return Number(e[1])*(gs[(e[2]??"").toLowerCase()]??Number.NaN);let n=us.exec(t);if(!n)return cn(t);
let o=(n[2]??"").trim(),i=o===""?0:cn(o);return i===null?null:Number(n[1])*12+i},K=s=>s<1e3?`${s} bytes`:s<1e6?`${(s/1e3).toFixed(s<1e4?1:0)}\
 kB`:s<1e9?`${(s/1e6).toFixed(s<1e7?1:0)} MB`:`${(s/1e9).toFixed(1)} GB`,zt=s=>new Date(s*1e3).toLocaleString(void 0,{dateStyle:"medium",timeStyle:"\
short"}),ot=s=>`${Math.round(s*100)} %`;var qt=class{root=l("section");onRevision=t=>{};work;old;jobs=[];result=l("div");constructor(t){this.work=t,this.old=t.job.revision_of,this.
result.setAttribute("aria-live","polite")}async load(){try{let{jobs:t}=await It();this.jobs=t.filter(e=>e.id!==this.work.job.id&&e.state==="\
done"),this.draw(),this.jobs.some(e=>e.id===this.work.job.revision_of)&&this.result.childElementCount===0&&await this.compare()}catch(t){this.
root.replaceChildren(l("h2","Revisions"),W(T(t)))}}draw(){let t=l("input");if(t.type="file",t.accept=".dxf,.ifc,.ifczip",t.className="away",
t.addEventListener("change",()=>{t.files&&t.files.length>0&&this.onRevision([...t.files])}),this.root.replaceChildren(l("h2","Revisions"),l(
"p","A new revision of this drawing takes over its names, its settings and every edit that still fits."),m("Choose the new revision\u2026",()=>t.
click()),t,l("h3","Compare with an older plan")),this.jobs.length===0){this.root.append(l("p","There is no other plan to compare with."));return}
this.jobs.some(e=>e.id===this.old)||(this.old=this.jobs[0]?.id??null),this.root.append(_("Older plan",this.jobs.map(e=>[e.id,`${e.file}, ${zt(
e.uploaded_at)}`]),this.old??"",e=>this.old=e),m("Compare",()=>{this.compare()}),this.result)}async compare(){let t=this.jobs.find(n=>n.id===
this.old);if(!t)return;let{job:e}=this.work;this.result.replaceChildren(l("p","Comparing\u2026"));try{let{same:n,text:o}=await en(e.id,t.id),
i=u("changes",l("img"));i.src=xe(e.id,t.id),i.alt=`The plates of both plans, what changed drawn out: ${o.slice(0,3).join(" ")}`,i.addEventListener(
"error",()=>i.replaceWith(l("p","There is no picture of it.")));let r=R("Open the picture",xe(e.id,t.id));r.target="_blank",this.result.replaceChildren(
l("h3",null,n?"The same plates as in ":"What changed since ",x(t.file)),u("changes-text",l("div",null,...o.map(a=>l("p",null,x(a))))),...n?[]:
[i,l("p",null,r)])}catch(n){this.result.replaceChildren(W(T(n)))}}};var Z=(s,t)=>[s[0]-t[0],s[1]-t[1]],Te=(s,t,e)=>[s[0]+t[0]*e,s[1]+t[1]*e],St=s=>Math.hypot(s[0],s[1]),z=(s,t)=>St(Z(s,t)),fn=({a:s,b:t},e)=>{
let n=Z(t,s),o=n[0]**2+n[1]**2;if(o===0)return s;let i=((e[0]-s[0])*n[0]+(e[1]-s[1])*n[1])/o;return Te(s,n,Math.min(1,Math.max(0,i)))},$t=class{all=[];cells=new Map;long=[];add(t){
this.all.push(t);let{a:e,b:n}=t,[o,i]=[Math.floor(Math.min(e[0],n[0])/60),Math.floor(Math.max(e[0],n[0])/60)],[r,a]=[Math.floor(Math.min(e[1],
n[1])/60),Math.floor(Math.max(e[1],n[1])/60)];if(!((i-o+1)*(a-r+1)<=4e3)){this.long.push(t);return}for(let d=o;d<=i;d++)for(let c=r;c<=a;c++){
let p=`${d} ${c}`,f=this.cells.get(p);f?f.push(t):this.cells.set(p,[t])}}near(t,e){let n=new Set(this.long),[o,i]=[Math.floor((t[0]-e)/60),Math.
floor((t[0]+e)/60)],[r,a]=[Math.floor((t[1]-e)/60),Math.floor((t[1]+e)/60)];for(let d=o;d<=i;d++)for(let c=r;c<=a;c++)for(let p of this.cells.
get(`${d} ${c}`)??[])n.add(p);return n}},Yt=class{drawn=new $t;walls=new $t;takeDrawing(t){for(let{lines:e}of t.groups)for(let n=0;n+3<e.length;n+=
4)this.drawn.add({a:[e[n]??0,e[n+1]??0],b:[e[n+2]??0,e[n+3]??0]})}takeWalls(t,e){this.walls=new $t;for(let n of t.walls)n.state==="removed"||
e!==null&&n.storey!==e||this.walls.add({a:[n.start[0],n.start[1]],b:[n.end[0],n.end[1]]})}pull(t,e,n){let o=this.walls.near(t,e),i=it(t,e,Ee(
o),"end of a wall");if(i)return i;let r=n&&ws(n,t);return r&&z(r,t)<=e?it(t,e,un(o,n,r),"square, on a wall")??this.drawnOn(r,e,n)??{at:r,to:"\
square"}:it(t,e,pn(o,t),"middle line of a wall")??this.drawnOn(t,e,null)}drawnOn(t,e,n){let o=this.drawn.near(t,Math.max(e,16));return n?it(
t,e,un(o,n,t),"square, on a line"):it(t,e,ys(o,t),"middle of two lines")??it(t,e,Ee(o),"end of a line")??it(t,e,pn(o,t),"line")}ends(){let t=[
...Ee(this.walls.all)];return t.sort((e,n)=>e[0]-n[0]||e[1]-n[1]).filter((e,n)=>n===0||z(e,t[n-1]??e)>.01)}},it=(s,t,e,n)=>{let o=null,i=t;for(let r of e){
let a=z(s,r);a<=i&&([o,i]=[{at:r,to:n},a])}return o};function*Ee(s){for(let{a:t,b:e}of s)yield t,yield e}function*pn(s,t){for(let e of s)yield fn(
e,t)}var ws=(s,t)=>{let e=Z(t,s),n=St(e);return n<1?null:Math.abs(e[1])/n<.05?[t[0],s[1]]:Math.abs(e[0])/n<.05?[s[0],t[1]]:null};function*un(s,t,e){
let n=Z(e,t);for(let{a:o,b:i}of s){let r=Z(i,o),a=n[0]*r[1]-n[1]*r[0];if(Math.abs(a)<1e-9)continue;let d=Z(o,t),[c,p]=[(d[0]*r[1]-d[1]*r[0])/
a,(d[0]*n[1]-d[1]*n[0])/a];c>0&&p>=-.001&&p<=1.001&&(yield Te(t,n,c))}}function*ys(s,t){let e=[...s].map(n=>{let o=fn(n,t);return{foot:o,away:z(
o,t),d:Z(n.b,n.a)}}).filter(({away:n,d:o})=>n<=16&&St(o)>2).sort((n,o)=>n.away-o.away).slice(0,12);for(let[n,o]of e.entries())for(let i of e.
slice(n+1)){let r=z(o.foot,i.foot);if(r<2||r>16||o.away+i.away>r*1.05)continue;let a=(o.d[0]*i.d[1]-o.d[1]*i.d[0])/(St(o.d)*St(i.d));Math.abs(
a)<.02&&(yield Te(o.foot,Z(i.foot,o.foot),.5))}}var vs=14,mn=12,bs=6,Xt=class{stage;snapper;metric;start=null;cross=null;caught=null;ends=[];end=-1;on=!1;onWall=(t,e)=>{};onTold=t=>{};onLeave=()=>{};constructor(t,e,n){
[this.stage,this.snapper,this.metric]=[t,e,n];let{root:o}=t;o.addEventListener("pointermove",i=>{this.on&&this.moveTo(t.placeAt(i.clientX,i.
clientY))}),o.addEventListener("pointerleave",()=>this.on&&this.show(null)),o.addEventListener("keydown",i=>this.on&&this.key(i),{capture:!0})}turn(t){
this.on=t,this.stage.svg.classList.toggle("drafting",t),[this.start,this.cross,this.end]=[null,null,-1],this.ends=t?this.snapper.ends():[],this.
show(null),t&&this.onTold("Click where the wall begins, on its middle line.")}click(t){Kt()||(this.moveTo(this.stage.placeAt(t.clientX,t.clientY)),
this.put())}moveTo(t){this.cross=t,this.caught=this.snapper.pull(t,vs*this.stage.camera.pixel,this.start),this.show(this.caught?.at??t)}put(){
let t=this.caught?.at??this.cross;if(!t)return;if(!this.start)return this.start=t,this.onTold("Click where it ends. Esc begins again."),this.
show(t);if(z(this.start,t)<bs)return this.onTold("Too short for a wall: 6 in at least. Click where it ends.");let e=this.start;this.start=null,
this.show(null),this.onTold("Click where the next wall begins, or press Esc to stop drawing."),this.onWall(e,t),this.ends=this.snapper.ends()}key(t){
if(t.ctrlKey||t.metaKey||t.altKey)return;if(t.key==="Escape")return t.preventDefault(),t.stopPropagation(),this.start?(this.start=null,this.
onTold("Click where the wall begins, on its middle line."),this.show(this.cross)):this.onLeave();let e=t.shiftKey?1:mn,n={ArrowLeft:[-e,0],ArrowRight:[
e,0],ArrowUp:[0,e],ArrowDown:[0,-e]}[t.key];if(n){let[o,i]=this.cross??this.middle();this.cross=[o+n[0],i+n[1]],this.caught=t.shiftKey?null:
this.snapper.pull(this.cross,mn*.4,this.start),this.say(this.caught?.at??this.cross)}else if(t.key.toLowerCase()==="e"&&this.ends.length>0){
this.end=(this.end+(t.shiftKey?-1:1)+this.ends.length)%this.ends.length;let o=this.ends[this.end];if(!o)return;this.cross=o,this.caught={at:o,
to:"end of a wall"},this.say(o)}else if(t.key==="Enter"||t.key===" ")this.put();else return;t.preventDefault(),t.stopPropagation()}middle(){
let t=this.stage.root.getBoundingClientRect();return this.stage.placeAt(t.left+t.width/2,t.top+t.height/2)}say(t){this.show(t),this.stage.camera.
show({x:t[0],y:-t[1],width:1,height:1});let e=this.start?`, ${st(z(this.start,t),this.metric())} long`:"";this.onTold(`Cross at ${st(t[0],this.
metric())} across, ${st(t[1],this.metric())} up${this.caught?`, ${this.caught.to}`:""}${e}. Enter puts a point.`)}show(t){if(!t)return this.
stage.draft(...this.start?[this.dot(this.start)]:[]);let{pixel:e}=this.stage.camera,n=e*13,[o,i]=[t[0],-t[1]],r=[b("path",{class:this.caught?
"cross caught":"cross",d:`M${o-n} ${i}H${o+n}M${o} ${i-n}V${i+n}`})],a=this.caught?.to??"";if(this.start&&(r.unshift(b("path",{class:"rubber",
d:`M${this.start[0]} ${-this.start[1]}L${o} ${i}`}),this.dot(this.start)),a=`${st(z(this.start,t),this.metric())}${a?`, ${a}`:""}`),a){let d=b(
"text",{transform:`translate(${o} ${i-e*24})`,"font-size":e*14});d.textContent=a,r.push(d)}this.stage.draft(...r)}dot([t,e]){return b("path",
{class:"dot",d:`M${t} ${-e}h0`})}};var D=s=>({version:1,units:s.units??null,mirror:s.mirror??null,region:s.region??[],layers:s.layers??[],walls:s.walls??[],removed:s.removed??
[],added:s.added??[],snaps:s.snaps??[]}),gn=(s,t)=>s[0]===t[0]&&s[1]===t[1],Mt=(s,t)=>s.entity===t.entity&&gn(s.start,t.start)&&gn(s.end,t.end),
wn=s=>s.edits.find(t=>t.list==="added")?.index??-1,xs=s=>[s.section,s.exterior,s.bearing,s.top].every(t=>t==null),yn=(s,t,e)=>{let n=D(s),{ref:o}=t;
if(o===null){let d=wn(t),{section:c,...p}=e,f=v=>({...v,...p,...c?{section:c}:{}});return{...n,added:n.added.map((v,w)=>w===d?f(v):v)}}let i=n.
walls.find(d=>Mt(d.wall,o)),r={...i,...e,wall:o},a=n.walls.filter(d=>d!==i);return{...n,walls:xs(r)?a:[...a,r]}},vn=(s,t)=>{let e=D(s),{ref:n}=t;
if(n===null){let o=wn(t);return{...e,added:e.added.filter((i,r)=>r!==o)}}return e.removed.some(o=>Mt(o.wall,n))?e:{...e,removed:[...e.removed,
{wall:n}]}},bn=(s,t)=>{let e=D(s),{ref:n}=t;if(n===null)return e;let o=i=>i.filter(r=>!Mt(r.wall,n));return{...e,walls:o(e.walls),removed:o(
e.removed),snaps:o(e.snaps)}},xn=(s,t)=>{let e=D(s),{ref:n}=t;return n===null?e:{...e,removed:e.removed.filter(o=>!Mt(o.wall,n))}},kn=(s,t)=>{
let e=D(s);return{...e,added:[...e.added,t]}},En=(s,t)=>{let e=D(s),n=e.snaps.filter(o=>!(Mt(o.wall,t.wall)&&o.end===t.end));return{...e,snaps:[
...n,t]}},Zt=(s,t,e)=>{let n=D(s),o=n.layers.filter(i=>i.match!==t);return{...n,layers:e?[e,...o]:o}},Tn=(s,t)=>JSON.stringify(D(s))===JSON.
stringify(D(t));var Qt=class{root=l("section");work;papers;list=l("div");asked=0;settingsBox;constructor(t,e){[this.work,this.papers]=[t,e],this.list.setAttribute(
"aria-live","polite"),this.settingsBox=this.settings(),this.draw()}draw(){let{job:t,plan:e}=this.work,n=l("dl");for(let i of e.lumber)E(n,i.
lumber,`${i.boards} boards to buy, ${i.bought_text}${i.on_hand>0?`, ${i.on_hand} on hand`:""}; ${i.used_text} used`);let o=i=>(ze(t.id,i).then(
async()=>{await this.work.reload(),this.draw(),await this.load()},r=>this.work.onTrouble(T(r))),null);this.root.replaceChildren(l("h2","File\
s"),u("controls",l("div",null,Tt("Project",t.project,"none",i=>o({project:i.trim()})),Tt("Lot",t.lot,"none",i=>o({lot:i.trim()})),_("Paper o\
f the sheets",this.papers,t.paper,i=>{o({paper:i})}))),this.list,this.settingsBox,...e.lumber.length>0?[l("h3","Boards"),n]:[],l("h3","Prove\
d"),u("proof",l("ul",null,...e.checked.map(i=>{let r=l("li",`${i.breaches===0?"\u2713":"\u2717"} ${i.what}: ${i.looked_at} looked at${i.breaches===
0?"":`, ${i.breaches} broken`}`);return r.className=i.breaches===0?"":"broken",r}))),l("h3","Cautions"),u("cautions",l("ul",null,...ks.map(i=>l(
"li",i)))))}settings(){let t=l("textarea");t.rows=14,t.spellcheck=!1;let e=l("div");e.setAttribute("role","status");let n=0,o=m("Save and pl\
an again",()=>{e.replaceChildren(l("p","Planning\u2026")),Ze(this.work.job.id,n,t.value).then(async a=>{n=a.edition,await this.work.reload(a),
e.replaceChildren(l("p","Saved, and planned again."))},a=>e.replaceChildren(W(T(a))))}),i=pt("TOML, as described in README",t),r=u("settings",
l("details",null,l("summary","Settings: rules, stock, prices"),i,o,e));return r.addEventListener("toggle",()=>{r.open&&Xe(this.work.job.id).
then(a=>{[n,t.value]=[a.edition,a.toml]},a=>e.replaceChildren(W(T(a))))}),r}async load(){let{job:t,plan:e}=this.work;if(!e.planned){this.list.
replaceChildren(l("p","There is no plan, so there are no files. See Findings for the reasons."));return}let n=++this.asked;this.list.replaceChildren(
l("p","The files are being made\u2026"));try{let o=await tn(t.id);n===this.asked&&this.show(o)}catch(o){if(n!==this.asked)return;this.list.replaceChildren(
W(T(o)),m("Try again",()=>{this.load()}))}}get isShown(){return this.asked>0}show({files:t,zip:e}){let{job:n}=this.work,o=t.map(a=>{let d=R(
"",nn(n.id,a.name),!0);return d.append(x(a.name)),l("li",null,d,` ${a.what} `,l("small",K(a.bytes)))}),i=u("all",R("",sn(n.id),!0));i.append(
"All files in one zip ",l("small",null,x(e)));let r=R("",on(n.id),!0);r.append("overrides.toml"),this.list.replaceChildren(i,u("files",l("ul",
null,...o,l("li",null,r," the edits made here; the same plan on the command line with platewright plan --overrides"))))}},ks=["This plan is \
an aid, not a design: local code, the stamped drawings and the building official decide.","Check the slab or deck against the plan before cu\
tting.","Brace a raised wall before letting go, and leave the braces until the corners are tied.","Set upper plates from ladders or scaffold\
s; never stand or walk on plates.","Saws: guard working, hands out of the line of a plunge cut. Eye and ear protection near nailers."];var ut=s=>{let{activeElement:t}=document;return t instanceof HTMLElement&&s.contains(t)?t.dataset.key??null:null},ft=(s,t)=>{if(t!==null){for(let e of s.
querySelectorAll("[data-key]"))if(e.dataset.key===t)return e.focus({preventScroll:!0})}};var $=s=>Math.round(s*100)/100,ne=([s,t])=>[s,-t],Me=([s,t])=>`M${$(s)} ${$(-t)}`,Le=([s,t])=>`L${$(s)} ${$(-t)}`,q=s=>s.map((t,e)=>e===0?Me(
t):Le(t)).join(""),Y=s=>`${q(s)}z`,mt=.75,Sn=s=>{let t=null;for(let[e,n]of s)t??={left:e,bottom:n,right:e,top:n},t.left=Math.min(t.left,e),t.
right=Math.max(t.right,e),t.bottom=Math.min(t.bottom,n),t.top=Math.max(t.top,n);return t},Se=s=>{let[t,e,n,o]=s??[];return t===void 0||e===void 0||
n===void 0||o===void 0?null:{left:t,bottom:e,right:n,top:o}},$n=s=>Sn(s.flatMap(t=>[t.start,t.end])),Es=1.6,te=s=>Math.max(1,s.right-s.left)*
Math.max(1,s.top-s.bottom),Ae=(s,t,e)=>{let n=Se(t.bounds),o=e===null?null:Se(s.storeys.find(i=>i.id===e)?.bounds??null);if(o&&n&&s.storeys.
length===1){let i=Sn([[o.left,o.bottom],[o.right,o.top],[n.left,n.bottom],[n.right,n.top]]);if(i&&te(i)<=Es*te(o))return i}return o??n??$n(s.
walls)??{left:0,bottom:0,right:480,top:360}},Mn=(s,t)=>{let[e,n]=[Se(t.bounds),Ae(s,t,s.storeys[0]?.id??null)];return e!==null&&(s.storeys.length>
1||te(e)>te(n)*1.01)},An=s=>Math.min(8,Math.max(3.4,Math.max(s.right-s.left,(s.top-s.bottom)*.8)/72)),Pn=(s,t)=>{let e=t*4;return{x:s.left-e,
y:-s.top-e,width:s.right-s.left+2*e,height:s.top-s.bottom+2*e}},N=(s,...t)=>{let e=b("g",{class:s});return e.append(...t),e},k=(s,t,e={})=>b(
"path",{class:s,d:t,...e}),Cn=(s,t)=>{let e=new Map(t.rows.map(n=>[n.name,n.used_as]));return N("drawn",...s.groups.map(({layer:n,lines:o})=>{
let i=s.layers[n]??"",r=e.get(i)??"ignore",a="",[d,c]=[Number.NaN,Number.NaN];for(let p=0;p+3<o.length;p+=4){let[f,v,w,S]=[o[p]??0,o[p+1]??0,
o[p+2]??0,o[p+3]??0];a+=f===d&&v===c?Le([w,S]):Me([f,v])+Le([w,S]),[d,c]=[w,S]}return k(r==="ignore"?"left":"used",a,{"data-layer":i})}))},ee=s=>{
let[t,e]=[s.end[0]-s.start[0],s.end[1]-s.start[1]],n=Math.hypot(t,e)||1;return[t/n,e/n,n]},H=(s,t,e)=>{let[n,o]=ee(s);return[s.start[0]+n*t-
o*e,s.start[1]+o*t+n*e]},Pe=s=>{let[t,e]=[s.thickness/2,ee(s)[2]];return Y([H(s,0,-t),H(s,e,-t),H(s,e,t),H(s,0,t)])},Ts=s=>[(s.start[0]+s.end[0])/
2,(s.start[1]+s.end[1])/2],On=s=>{let t=$n(s)??{left:0,bottom:0,right:0,top:0};return{x:t.left,y:-t.top,width:t.right-t.left,height:t.top-t.
bottom}},Ls=s=>{if(s.state==="removed")return"body removed";let t=s.exterior?"exterior":"interior",e=s.confidence<mt?" doubtful":"";return s.
state==="left-out"?`body left-out${e}`:`body ${t}${e}`},Pt=s=>s.how==="drawn-in"||s.edits.some(t=>t.list!=="layers"),Wn=(s,t)=>{let e=new Map,
[n,o,i]=["","",""],r=[];for(let d of s){let c=Ls(d);e.set(c,(e.get(c)??"")+Pe(d));let[,,p]=ee(d);d.state==="planned"&&d.bearing&&(n+=q([H(d,
0,0),H(d,p,0)]));let[f,v]=Ts(d),w=t*.7;if(d.state==="removed")o+=q([[f-w,v-w],[f+w,v+w]])+q([[f-w,v+w],[f+w,v-w]]);else if(Pt(d)){let S=w*.75;
i+=Y([[f-S,v],[f,v-S],[f+S,v],[f,v+S]])}else if(d.confidence<mt&&d.state==="planned"){let[S,M]=ee(d),V=Math.abs(M)>Math.abs(S),j=d.thickness/
2+t*(V?1.6:.8),[J,yt]=V?[f+j,-v]:[f,-v-j],B=b("text",{transform:`translate(${$(J)} ${$(yt)})`});B.textContent=`${Math.round(d.confidence*100)}\
 %?`,r.push(B)}}let a=[...e].sort(([d],[c])=>d.length-c.length||(d<c?-1:1));return N("bodies",...a.map(([d,c])=>k(d,c)),k("bearing",n),k("cr\
ossed",o),k("by-hand",i),N("names",...r))},Rn=s=>{let[t,e]=["",""],n={door:"",window:"",opening:""};for(let o of s){if(o.state==="removed")continue;
let i=o.thickness/2;for(let{kind:r,from:a,to:d}of o.openings){e+=Y([H(o,a,-i),H(o,d,-i),H(o,d,i),H(o,a,i)]);for(let p of[a,d])t+=q([H(o,p,-i),
H(o,p,i)]);let c=r==="window"?[-i*.3,i*.3]:[0];for(let p of c)n[r]+=q([H(o,a,p),H(o,d,p)])}}return N("openings",k("gap",e),k("jambs",t),k("d\
oor",n.door??""),k("window",n.window??""),k("passage",n.opening??""))},Ss={L:[[[-.4,.55],[-.4,-.5],[.5,-.5]]],T:[[[-.55,.45],[.55,.45]],[[0,
.45],[0,-.6]]],X:[[[-.5,-.5],[.5,.5]],[[-.5,.5],[.5,-.5]]],inline:[[[-.6,0],[.6,0]]],end:[[[-.55,0],[.3,0]],[[.3,.5],[.3,-.5]]],other:[[[0,-.6],
[0,.6]],[[-.52,-.3],[.52,.3]],[[-.52,.3],[.52,-.3]]]},$e=([s,t],e)=>`M${$(s-e)} ${$(-t)}a${$(e)} ${$(e)} 0 1 0 ${$(2*e)} 0a${$(e)} ${$(e)} 0\
 1 0 ${$(-2*e)} 0z`,Ce=(s,[t,e],n)=>Ss[s].map(o=>q(o.map(([i,r])=>[t+i*n,e+r*n]))).join(""),_n=(s,t)=>{let[e,n,o]=["","",""];for(let i of s){
let r=t*(i.kind==="inline"?.5:1),a=$e(i.at,r);i.tie==="none"||i.near_miss?n+=a:e+=a,o+=Ce(i.kind,i.at,r*.72)}return N("junctions",k("disc",e),
k("disc poor",n),k("sign",o))},Hn=(s,t)=>N("offers",...s.map(({from:e,to:n},o)=>{let i=t*.8,[r,a]=e,d=N("offer",k("reach",$e([(r+n[0])/2,(a+
n[1])/2],Math.max(t*1.6,Math.hypot(n[0]-r,n[1]-a)))),k("way",q([e,n])),k("short",Y([[r-i,a-i],[r+i,a-i],[r+i,a+i],[r-i,a+i]])),k("goal",$e(n,
t*.3)));return d.dataset.offer=String(o),d})),Nn=(s,t)=>{let e="";for(let o of s)o.layer===t&&(e+=Y(o.outline));let n=k("",e);return t==="up\
per"&&n.setAttribute("fill","url(#hatch-1)"),N(`${t} plates`,n)},Gn=s=>{let t=b("defs"),e=$(s*.6),n=b("pattern",{id:"hatch-1",patternUnits:"\
userSpaceOnUse",width:e,height:e,patternTransform:"rotate(35)"});return n.append(b("path",{class:"hatch",d:`M0 0V${$(s)}`,"stroke-width":$(s*
.15)})),t.append(n),t},Dn=(s,t)=>N("regions",...s.map(e=>{let n=t*2,[o,i,r,a]=[e.bounds[0]-n,e.bounds[1]-n,e.bounds[2]+n,e.bounds[3]+n],d=b(
"text",{transform:`translate(${$(o)} ${$(-a-t*1.8)})`});return d.textContent=String(e.number),N(e.planned?"region planned":"region",k("",Y([
[o,i],[r,i],[r,a],[o,a]])),d)})),Ln={error:0,warning:1,note:2},At=([s,t],e,n)=>[s+n*Math.cos(e*Math.PI/180),t-n*Math.sin(e*Math.PI/180)],Fn=(s,t,e)=>Y(
s==="error"?[45,135,225,315].map(n=>At(t,n,e*1.3)):s==="warning"?[-90,30,150].map(n=>At(t,n,e*1.75)):[...Array(16).keys()].map(n=>At(t,22.5*
n,e))),In=(s,t,e)=>{let n=new Map;s.forEach((i,r)=>{if(!i.at||!e(i))return;let a=i.at.map(c=>Math.round(c)).join(" "),d=n.get(a)??{at:i.at,numbers:[],
severity:i.severity};d.numbers.push(r),Ln[i.severity]<Ln[d.severity]&&(d.severity=i.severity),n.set(a,d)});let o=new Set;return N("pins",...[
...n.values()].map(({at:i,numbers:r,severity:a})=>{let d=$s(i,o,t),c=N(`pin ${a}`,k("lead",q([i,d])),k("spot",`${Me(i)}h0`),k("head",Fn(a,d,
t))),p=`${(r[0]??0)+1}${r.length>1?"+":""}`,[f,v]=ne(d),w=b("text",{transform:`translate(${$(f)} ${$(v)})`,class:p.length>2?"long":""});return w.
textContent=p,c.append(w),c.dataset.findings=r.join(" "),c}))},$s=(s,t,e)=>{let n=e*2.6,o=([d,c],p,f)=>`${Math.round(d/n)+p} ${Math.round(c/
n)+f}`,i=d=>[-1,0,1].every(c=>[-1,0,1].every(p=>!t.has(o(d,c,p)))),a=[3,5,7].flatMap(d=>[-60,-120,60,120,0,180].map(c=>At(s,c,e*d))).find(i)??
At(s,-60,e*3);return t.add(o(a,0,0)),a},gt=s=>{let t=b("svg",{class:"key wide",viewBox:"0 0 12 4","aria-hidden":"true"});return t.append(N("\
bodies",k(s,"M0 .6H12V3.4H0Z"))),t},se=(...s)=>{let t=b("svg",{class:"key",viewBox:"-2 -2 4 4","aria-hidden":"true"});return t.append(...s),
t},X=s=>se(N(`pin ${s}`,k("head",Fn(s,[0,0],1.05))));var As=[["","by the floor's outline"],["yes","exterior"],["no","interior"]],Ps=[["","not known"],["yes","bearing"],["no","not bearing"]],Ct="\
several",Cs=12,Os=480,Un=s=>s===void 0?void 0:s===null?"":s?"yes":"no",Vn=s=>s===""?null:s==="yes",Ws=s=>{if(s.trim()==="")return{top:null};
let t=hn(s);return t===null?{wrong:`Not a length. Try 8'-1 1/8", 97.125 (inches) or 2467 mm.`}:t<Cs||t>Os?{wrong:"A plate's top is from 1' t\
o 40' above the floor."}:{top:t}},Oe=(s,t,e,n)=>{let o=e===void 0?[[Ct,Ct],...t]:t.some(([i])=>i===e)?t:[...t,[e,e]];return _(s,o,e??Ct,i=>i!==
Ct&&n(i))},Ot=(s,t,e,n,o)=>{let i=[Oe("Side",As,Un(s.exterior),r=>o("side",{exterior:Vn(r)})),Oe("Bearing",Ps,Un(s.bearing),r=>o("bearing",{
bearing:Vn(r)})),Oe("Section",t,s.section,r=>o("section",{section:r||null})),Tt("Top above floor",typeof s.top=="number"?Lt(s.top):"",s.top===
void 0?Ct:e,r=>{let a=Ws(r);return"wrong"in a?a.wrong:(o("height",{top:a.top}),null)})];return i.forEach((r,a)=>{let d=r.querySelector("sele\
ct, input");d&&(d.dataset.key=`${n} ${a}`)}),i};var jn=150,Rs={layer:"by the name or the mapping of its layer",shape:"by its shape",class:"by its class in the file","drawn-in":"drawn in by\
 hand"},Re=s=>JSON.stringify(s.ref??[s.start,s.end]),We=s=>Math.hypot(s.end[0]-s.start[0],s.end[1]-s.start[1]),oe=class{root=l("section");chosen=[];drafting=!1;draftWall;onChoose=t=>{};onLook=t=>{};onDraft=t=>{};onShowPlace=t=>{};filter="\
look";work;sections;metric;constructor(t,e,n){[this.work,this.sections,this.metric]=[t,e,n],this.draftWall={section:_s(t.plan.walls)??e[0]?.[0]??
"2x4",exterior:null,bearing:null,top:null},this.looks().length===0&&(this.filter="all"),this.draw()}looks(){return this.work.plan.walls.filter(
t=>t.state==="planned"&&t.confidence<mt&&!Pt(t))}draw(){let t=ut(this.root);this.root.replaceChildren(l("h2","Walls"),this.drafting?this.draftForm():
this.chosenWalls(),...this.shortEnds(),...this.list()),ft(this.root,t)}draftForm(){let t=this.draftWall;return u("picked",l("div",null,l("h3",
"The wall to draw"),l("p","Click its two ends on the plan, on the middle line of its framing. Points are pulled to ends and lines of walls, \
to the middle between two lines, and square."),u("controls",l("div",null,...Ot(t,this.sections,"as the settings say","draft",(e,n)=>Object.assign(
t,{...n,section:n.section??t.section})))),m("Stop drawing",()=>this.onDraft(!1))))}chosenWalls(){let{chosen:t}=this,[e]=t;if(!e)return u("pi\
cked none",l("div",null,l("p","Click a wall in the plan, or choose one below. Shift adds to the choice."),m("Draw a missing wall",()=>this.onDraft(
!0))));let n=t.length===1?Wt(e):L(t.length,"wall"),o=u("picked",l("div",null,l("h3",n))),i=l("dl"),r=this.metric();t.length===1?(E(i,"Length",
l("strong",U(We(e),r))),E(i,"Drawn",`${U(e.thickness,r)} thick`),E(i,"Found",Rs[e.how]),E(i,"Confidence",ot(e.confidence),e.confidence<mt?":\
 worth a look":""),E(i,"State",Jn(e)),e.plan_walls.length>0&&E(i,"In the plan",`${e.plan_walls.join(", ")}${e.runs.length>0?`, in ${e.runs.join(
", ")}`:""}`),e.source.slice(0,3).forEach((d,c)=>E(i,c===0?"Drawn as":"",l("code",d.entity)," on ",x(d.layer))),e.source.length>3&&E(i,"",`a\
nd ${e.source.length-3} more`)):E(i,"Together",l("strong",U(t.reduce((d,c)=>d+We(c),0),r))),o.append(i);let a=t.filter(d=>d.state==="removed");
return a.length<t.length&&o.append(this.controls(t.filter(d=>d.state!=="removed"))),o.append(this.actions(a)),o}controls(t){let e=(i,r)=>this.
work.edit(i,a=>t.reduce((d,c)=>yn(d,c,r),a)),n=i=>{let[r,...a]=t.map(i);return a.every(d=>d===r)?r:void 0},o={exterior:n(i=>i.exterior_said),
bearing:n(i=>i.bearing),section:n(i=>i.section),top:n(i=>i.top)};return u("controls",l("div",null,...Ot(o,this.sections,"as drawn","wall",(i,r)=>e(
`${i} of a wall`,r))))}actions(t){let{chosen:e}=this,n=u("actions",l("div"));t.length>0&&n.append(m(t.length===1?"Put the wall back":"Put th\
e walls back",()=>this.work.edit("wall put back",i=>t.reduce((r,a)=>xn(r,a),i)))),t.length<e.length&&n.append(m(e.length===1?"Remove the wal\
l":"Remove the walls",()=>this.remove()));let o=e.filter(i=>i.ref!==null&&i.edits.some(r=>r.list!=="layers"));return o.length>0&&n.append(m(
"As drawn",()=>this.work.edit("edits of a wall taken back",i=>o.reduce((r,a)=>bn(r,a),i)),"quiet")),n.append(m("Draw a missing wall",()=>this.
onDraft(!0)),m("Let go",()=>this.onChoose([]),"quiet")),n}remove(){let t=this.chosen.filter(e=>e.state!=="removed");t.length>0&&this.work.edit(
t.length===1?"wall removed":"walls removed",e=>t.reduce((n,o)=>vn(n,o),e))}shortEnds(){let{near_misses:t}=this.work.plan;if(t.length===0)return[];
let e=t.slice(0,jn).map((o,i)=>{let r=l("li",null,`${this.name(o.wall)} stops ${U(o.gap_in,this.metric())} short of ${this.name(o.other)} `,
m("Show",()=>this.onShowPlace(o),"quiet")," ",m("Close the gap",()=>this.accept([o])));return r.querySelectorAll("button").forEach((a,d)=>{a.
dataset.key=`miss ${i} ${d}`,a.setAttribute("aria-label",`${a.textContent}: ${this.name(o.wall)} and ${this.name(o.other)}`)}),r}),n=[l("h3",
"Ends that stop short"),u("misses",l("ul",null,...e))];return t.length>1&&n.push(m(`Close all ${t.length} gaps`,()=>this.accept(t))),n}accept(t){
this.work.edit(t.length===1?"gap closed":"gaps closed",e=>t.reduce((n,o)=>En(n,o.snap),e))}name(t){let e=this.work.plan.walls.find(n=>n.id===
t);return e?Wt(e):t}list(){let t=this.work.plan.walls,e={look:this.looks(),hand:t.filter(c=>Pt(c)&&c.state!=="removed"),out:t.filter(c=>c.state!==
"planned"),all:t},n=e[this.filter],o=_("List",[["look",`worth a look (${e.look.length})`],["hand",`changed by hand (${e.hand.length})`],["ou\
t",`left out or removed (${e.out.length})`],["all",`all (${t.length})`]],this.filter,c=>{this.filter=c,this.draw()}),i=o.querySelector("sele\
ct");i&&(i.dataset.key="filter");let r=new Set(this.chosen),a=n.slice(0,jn).map((c,p)=>{let f=m("",()=>this.onChoose([c]),"wall-row"),v=[U(We(
c),this.metric()),c.section,c.exterior?"exterior":"interior",c.confidence<mt?`${ot(c.confidence)}?`:"",c.state==="planned"?"":Jn(c)];return f.
append(l("b",Wt(c)),` ${v.filter(w=>w!=="").join(", ")}`),f.setAttribute("aria-pressed",String(r.has(c))),f.dataset.key=`row ${p}`,f.addEventListener(
"pointerenter",()=>this.onLook([c])),f.addEventListener("pointerleave",()=>this.onLook([])),l("li",null,f)}),d=n.length-a.length;return[o,u(
"wall-list",l("ul",null,...a)),...a.length===0?[l("p","None.")]:[],...d>0?[l("p",`and ${d} more: click them in the plan.`)]:[]]}},Wt=s=>{let[
t,...e]=s.plan_walls;return t===void 0?s.id:e.length<3?[t,...e].join(", "):`${t} and ${e.length} more`},Jn=s=>s.state==="removed"?"removed b\
y hand":s.state==="left-out"?"left out of the plan":Pt(s)?"planned, changed by hand":"planned",_s=s=>{let t=new Map;for(let{section:e,exterior:n}of s)
n||t.set(e,(t.get(e)??0)+1);return[...t].sort((e,n)=>n[1]-e[1]||(e[0]<n[0]?-1:1))[0]?.[0]??null};var Rt=200,ie=class{root=l("section");at=null;onShow=(t,e)=>{};onWalls=t=>{};onAccept=t=>{};onTicked=()=>{};work;metric;onlyNew=!1;open=null;codes=null;constructor(t,e){
[this.work,this.metric]=[t,e],this.draw()}get all(){return this.work.plan.findings}get order(){return[...this.all.keys()].filter(t=>!this.onlyNew||
t===this.at||!this.all[t]?.looked_at)}step(t){let{order:e}=this;if(e.length===0)return;let n=this.at===null?t>0?-1:0:e.indexOf(this.at),o=e[(n+
t+e.length)%e.length];o!==void 0&&this.show(o,!0)}show(t,e){this.at=t,this.open=this.all[t]?.key??null,this.draw(),this.onShow(t,e)}follow(){
let t=this.open===null?-1:this.all.findIndex(e=>e.key===this.open);this.at=t<0?null:t,this.draw()}draw(){let t=ut(this.root),e=this.all.filter(
o=>!o.looked_at).length,n=this.all.length===0?"None: nothing to look at.":e===0?`${L(this.all.length,"finding")}, all ticked off.`:`${L(this.
all.length,"finding")}, ${e} not ticked off yet.`;this.root.replaceChildren(l("h2","Findings"),l("p",n)),this.all.length>0&&this.root.append(
this.walk(),...this.one(),this.list()),ft(this.root,t)}walk(){let t=this.at===null?-1:this.order.indexOf(this.at),[e,n]=[m("Previous",()=>this.
step(-1)),m("Next",()=>this.step(1))];[e.dataset.key,n.dataset.key]=["previous","next"];let o=nt("only those not ticked off",this.onlyNew,r=>{
this.onlyNew=r,this.draw()});o.firstElementChild.dataset.key="only";let i=l("span",t<0?"":`${t+1} of ${this.order.length}`);return u("walk",
l("div",null,e,n,i,o))}one(){let t=this.at===null?null:this.all[this.at];if(!t||this.at===null)return[];let e=l("h3",null,X(t.severity),` ${this.
at+1} ${t.severity}: ${t.title} `,l("code",t.code)),n=l("dl");if(E(n,"What to do",x(t.what_to_do)),t.at){let[d,c]=t.at,p=m("Show the place",
()=>this.at!==null&&this.onShow(this.at,!0),"quiet");p.dataset.key="place",E(n,"Where",`${U(d,this.metric())} across, ${U(c,this.metric())} \
up `,p)}let o=this.work.plan.walls.filter(d=>t.walls.includes(d.id));o.length>0&&E(n,"Walls",...o.slice(0,8).flatMap((d,c)=>[c===0?"":" ",m(
Wt(d),()=>this.onWalls([d]),"quiet")])),t.source.slice(0,4).forEach((d,c)=>E(n,c===0?"Drawn as":"",l("code",d.entity)," on ",x(d.layer))),t.
source.length>4&&E(n,"",`and ${t.source.length-4} more`);let i=u(`finding ${t.severity}`,l("article",null,e,l("p",null,x(t.message)),n)),r=this.
work.plan.near_misses.filter(d=>t.at&&Math.hypot(d.from[0]-t.at[0],d.from[1]-t.at[1])<.5);r.length>0&&i.append(m("Close the gap",()=>this.onAccept(
r)));let a=l("details",null,l("summary","Why"));return a.addEventListener("toggle",()=>a.open&&void this.explain(a,t.code)),i.append(a,this.
tick(t)),[i]}tick(t){let e=nt("Looked at",t.looked_at,n=>{t.looked_at=n,Qe(this.work.job.id,t.key,n).then(()=>{this.draw(),this.onTicked()},
o=>{t.looked_at=!n,this.draw(),this.work.onTrouble(T(o))})});return e.firstElementChild.dataset.key="ticked",e}async explain(t,e){if(!(t.children.
length>1))try{this.codes??=await Ke();let n=this.codes.codes.find(o=>o.code===e);t.append(l("p",n?.meaning??"Nothing more is known of it.")),
n&&t.append(u("rule",l("p",null,l("b","Rule: "),n.rule)))}catch(n){t.append(l("p",T(n).message))}}list(){let{order:t}=this,e=Math.max(0,Math.
min((this.at===null?0:t.indexOf(this.at))-Rt/2,t.length-Rt)),n=t.slice(e,e+Rt).map(i=>{let r=this.all[i],a=m("",()=>this.show(i,!0),"finding\
-row");return r&&(a.append(X(r.severity),u("spoken",l("span",`${r.severity} `)),l("b",` ${i+1} `),r.title,r.looked_at?" \u2713":""),a.setAttribute(
"aria-pressed",String(i===this.at))),a.dataset.key=`f ${i}`,l("li",null,a)}),o=u("finding-list",l("ol",null,...n));return t.length>Rt?l("div",
null,o,l("p",`${Rt} of ${t.length} listed, about the one that is shown.`)):o}};var Hs=[["wall","walls"],["door","doors"],["window","windows"],["opening","openings"],["ignore","nothing: left out"]],_t={in:"inches",ft:"fe\
et",mm:"millimetres",cm:"centimetres",m:"metres"},re=class{root=l("section");onLook=t=>{};work;sections;constructor(t,e){this.work=t,this.sections=
[["","as read"],...e],this.root.addEventListener("pointerover",n=>this.onLook(Bn(n))),this.root.addEventListener("pointerleave",()=>this.onLook(
null)),this.root.addEventListener("focusin",n=>this.onLook(Bn(n))),this.draw()}draw(){let{reading:t}=this.work,e=ut(this.root),n=this.root.querySelector(
"details")?.open??!1,o=t.rows.map(d=>({row:d,weight:Ns(d)})),[i,r]=[o.filter(d=>d.weight>0),o.filter(d=>d.weight===0)];i.sort((d,c)=>c.weight-
d.weight);let a=t.rows_are==="layers";if(this.root.replaceChildren(l("h2","Units and layers"),this.units(t),...this.regions(t),l("h3",a?"Wha\
t the layers are":"What the wall types are"),...i.length===0?[l("p","No layer is taken for walls. Choose one below.")]:[],...i.map(d=>this.row(
d.row))),r.length>0){let d=u("more-rows",l("details",null,l("summary",`${i.length>0?"Other":"All"} ${a?"layers":"types"} (${r.length})`),...r.
map(c=>this.row(c.row))));d.open=n||i.length===0,this.root.append(d)}ft(this.root,e)}units(t){let{overrides:e}=this.work,n=u("units",l("div")),
o=l("dl");if(t.units){let i=_t[t.units.name]??t.units.name;E(o,"Unit",l("strong",i)),E(o,"Decided by",x(t.units.decided_by))}else E(o,"Unit",
l("strong","not known")),t.unit_said&&E(o,"The file says",x(t.unit_said)),n.append(u("trouble",l("p","The drawing does not say in which unit\
 it is drawn. Choose it: nothing is planned before.")));if(n.append(o,_("Read the drawing in",[["","what the file says"],...Object.entries(_t)],
e.units??"",i=>this.work.edit("unit chosen",r=>({...D(r),units:i||null})))),t.unit_readings.length>0){let i=t.unit_readings.map(r=>l("li",null,
l("b",`${_t[r.unit]??r.unit}: `),r.plausible?"plausible. ":"not plausible. ",x(r.evidence)));n.append(l("details",null,l("summary","How each\
 unit would look"),l("ul",null,...i)))}n.append(_("Mirrored",[["none","no"],["x","left and right"],["y","front and back"]],e.mirror??"none",
i=>this.work.edit("mirrored",r=>({...D(r),mirror:i==="none"?null:i}))));for(let i of n.querySelectorAll("select"))i.dataset.key=`u ${i.previousElementSibling?.
textContent??""}`;return n}regions({regions:t}){if(t.length<2)return[];let e=new Set(t.filter(o=>o.planned).map(o=>o.number)),n=t.map(o=>{let i=nt(
"",o.planned,a=>{a?e.add(o.number):e.delete(o.number);let d=[...e].sort((c,p)=>c-p).map(String);this.work.edit("drawings of the sheet chosen",
c=>({...D(c),region:d}))});i.append(l("b",`${o.number} `),x(o.title||"without a title"),` ${o.kind}, ${L(o.walls,"wall")}`);let r=i.firstElementChild;
return r.dataset.key=`region ${o.number}`,r.disabled=o.planned&&e.size===1,l("li",null,i,l("small",o.why))});return[l("h3","Drawings on the \
sheet"),u("regions-list",l("ul",null,...n))]}row(t){let e=this.work.overrides.layers?.find(w=>w.match===t.name),n=l("h4",null,x(t.name||"(no\
 name)")),o=l("p",null,[L(t.entities,"entity").replace("entitys","entities"),t.walls>0?L(t.walls,"wall"):"",t.walls_score===null?"":`looks l\
ike walls: ${ot(t.walls_score/100)}`,t.off?"switched off":"",t.frozen?"frozen":""].filter(w=>w!=="").join(" \xB7 ")),i=(w,S)=>{let M=S.use??
t.used_as,V=e??{match:t.name,use:M},j=M==="wall"?{...V,...S,match:t.name,use:M}:{match:t.name,use:M};this.work.edit(w,J=>Zt(J,t.name,j))},r=_(
"Taken as",Hs,t.used_as,w=>i("layer mapped",{use:w})),a=r.querySelector("select");a&&(a.dataset.key=`${t.name} use`);let d={exterior:t.exterior,
bearing:t.bearing,section:e?.section??t.section??"",top:t.top},c=t.used_as!=="wall"?[]:Ot(d,this.sections,"as read",t.name,(w,S)=>i(`${w} of\
 a layer`,S)),p=l("small",null,t.rule,t.framing?`. Framing: ${t.framing}`:""),f=u(e?"row edited":"row",l("div",null,n,o,u("controls",l("div",
null,r,...c)),p)),{proposed:v}=t;return v&&!e&&f.append(m("Take as proposed",()=>this.work.edit("proposed mapping taken",w=>Zt(w,t.name,v)))),
e&&f.append(m("As before",()=>this.work.edit("mapping taken back",w=>Zt(w,t.name,null)),"quiet")),f.dataset.layer=t.name,f}},Ns=s=>s.used_as===
"wall"?1e3+s.walls:s.edit!==null||s.proposed?900:s.used_as!=="ignore"?500:(s.walls_score??0)>=50?100+(s.walls_score??0):0,Bn=s=>(s.target instanceof
Element?s.target.closest("[data-layer]")?.dataset.layer:null)??null;var Gs=[["L","corner"],["T","tee"],["X","crossing"],["inline","in line"],["end","free end"],["other","other junction"]],Ds=s=>{let t=b("g",{
class:"junctions"});return t.append(b("circle",{class:"disc",r:1.5}),b("path",{class:"sign",d:Ce(s,[0,0],1.1)})),se(t)},Kn=(s,t,e)=>{let n=b(
"g",{class:s});return n.append(b("path",{class:t,d:e})),se(n)},zn=()=>{let s=(r,a)=>l("li",null,r,a),t=b("svg",{class:"key wide",viewBox:"0 \
0 12 4","aria-hidden":"true"}),e=b("g",{class:"bodies"});e.append(b("path",{class:"body interior",d:"M0 .6H12V3.4H0Z"}),b("path",{class:"bea\
ring",d:"M0 2H12"})),t.append(e);let n=u("legend",l("ul",null,s(gt("body exterior"),"exterior wall"),s(gt("body interior"),"interior wall"),
s(t,"bearing"),s(gt("body interior doubtful"),"worth a look, with its confidence"),s(gt("body left-out"),"left out of the plan"),s(gt("body \
removed"),"removed by hand"),s(Kn("bodies","by-hand","M-1.2 0L0 -1.2L1.2 0L0 1.2Z"),"changed or drawn by hand"),...Gs.map(([r,a])=>s(Ds(r),a)),
s(Kn("offers","short","M-1.2 -1.2H1.2V1.2H-1.2Z"),"end that stops short; click to close the gap"),s(X("error"),"error"),s(X("warning"),"warn\
ing"),s(X("note"),"note"))),o=l("p",null,"Drag to move, wheel or pinch to zoom, click a wall to change it, Shift-click for more than one. Ke\
ys, with the plan in focus: ");for(let[r,a]of[["+",""],["\u2212","zoom"],["0","whole plan"],["W","next wall (Shift: the one before)"],["N",""],
["P","next and previous finding"],["D","draw a wall"],["Del","remove the wall"],["Esc","let go"]])o.append(l("kbd",r),a===""?" ":` ${a}, `);
o.append("Ctrl+Z and Ctrl+Y undo and redo. While drawing: arrows move the cross by a foot (Shift: an inch), ",l("kbd","E")," takes it to the\
 next end of a wall, ",l("kbd","Enter")," puts a point."),o.id="keys";let i=l("details",null,l("summary","Signs and keys"),n,o);return u("ho\
w",i)};var _e=5.5,Ht=1.5,Fs=140,Is=2.2,ae=class{svg;stage;world;left=0;top=0;width=1;height=1;middle=[.5,.5];letter=1;now={k:1,x:0,y:0};painted=null;most=1;wide=0;high=0;waiting=!1;rest=0;onPaint=()=>{};constructor(t){
if(this.svg=t,!t.parentElement)throw new Error("a plan stands in its stage");this.stage=t.parentElement,this.world=ht(t,".world"),this.frame(),
new ResizeObserver(()=>{let[e,n]=[this.stage.clientWidth,this.stage.clientHeight];e===0||n===0||t.clientWidth===0||([this.wide,this.high]=[e,
n],this.paint())}).observe(t)}frame(){let[t=0,e=0,n=1,o=1]=(this.svg.getAttribute("viewBox")??"").split(" ").map(Number);[this.left,this.top,
this.width,this.height]=[t,e,n,o],this.middle=[t+n/2,e+o/2],this.letter=Number(this.svg.getAttribute("font-size")),this.most=Math.max(12,n/60),
this.now={k:1,x:0,y:0},this.wide>0&&this.paint()}get inch(){return Math.max(this.width/(this.wide||1),this.height/(this.high||1))}at(t,e){let n=this.
stage.getBoundingClientRect(),[o,i]=this.middle;return[o+(t-n.left-n.width/2)*this.inch,i+(e-n.top-n.height/2)*this.inch]}seen(t,e){let[n,o]=this.
at(t,e);return[(n-this.now.x)/this.now.k,(o-this.now.y)/this.now.k]}get pixel(){return this.inch/this.now.k}get isWhole(){return this.now.k===
1}zoom(t,[e,n]=this.middle){let{k:o,x:i,y:r}=this.now,a=Math.min(this.most,Math.max(1,o*t)),d=a/o;this.move({k:a,x:e-(e-i)*d,y:n-(n-r)*d})}pan(t,e){
let{k:n,x:o,y:i}=this.now;this.move({k:n,x:o+t*this.inch,y:i+e*this.inch})}whole(){this.move({k:1,x:0,y:0})}show(t){let{k:e,x:n,y:o}=this.now,
i=this.inch,[r,a]=this.middle,[d,c]=[this.wide*i/2,this.high*i/2],p=(J,yt,B,rt,at)=>Math.abs(e*J+B-rt)<at*.9&&Math.abs(e*(J+yt)+B-rt)<at*.9;
if(p(t.x,t.width,n,r,d)&&p(t.y,t.height,o,a,c)&&this.letter*e/i>=_e*1.6)return;let v=Math.max(t.width,t.height,this.letter*20),w=Math.min(d,
c)*2/v/1.6,S=_e*2*i/this.letter,M=Math.min(this.most,Math.max(1,Math.min(w,Math.max(S,e)))),[V,j]=[t.x+t.width/2,t.y+t.height/2];this.move({
k:M,x:r-V*M,y:a-j*M})}move({k:t,x:e,y:n}){if(t<=1.0001)this.now={k:1,x:0,y:0};else{let o=(i,r,a)=>{let d=r+a/2;return Math.min(d-r*t,Math.max(
d-(r+a)*t,i))};this.now={k:t,x:o(e,this.left,this.width),y:o(n,this.top,this.height)}}clearTimeout(this.rest),this.rest=window.setTimeout(()=>this.
paint(),Fs),!this.waiting&&(this.waiting=!0,requestAnimationFrame(()=>{this.waiting=!1,this.shift()}))}shift(){let[t,e]=[this.now,this.painted];
if(!e)return this.paint();let[n,o]=this.middle,i=t.k/e.k,r=(t.x-n-i*(e.x-n))/this.inch,a=(t.y-o-i*(e.y-o))/this.inch,d=(c,p)=>Math.abs(c)+p/
2<=p*Ht*i/2+1;if(i>Is||!d(r,this.wide)||!d(a,this.high))return this.paint();this.svg.style.transform=`translate(${r}px, ${a}px) scale(${i})`}paint(){
clearTimeout(this.rest);let{k:t,x:e,y:n}=this.now,[o,i]=this.middle;this.svg.style.transform="",this.painted!==this.now&&this.world.setAttribute(
"transform",`matrix(${t/Ht} 0 0 ${t/Ht} ${o+(e-o)/Ht} ${i+(n-i)/Ht})`),this.painted=this.now,this.svg.classList.toggle("far",this.letter*t/this.
inch<_e),this.svg.classList.toggle("zoomed",!this.isWhole),this.onPaint()}};var He=[["drawn","Linework",!0],["bodies","Walls",!0],["junctions","Junctions",!0],["offers","Short ends",!0],["lower","Lower plates",!1],["\
upper","Upper plates",!1],["pins","Findings",!0]],qn=["regions","drawn","bodies","openings","lower","upper","junctions","offers","lit","pins",
"draft"],Us=9,Ne=s=>s.storeys.map(({id:e})=>({id:e,walls:s.walls.filter(n=>n.storey===e).length})).sort((e,n)=>n.walls-e.walls)[0]?.id??null,
Ge=s=>{let t=new Map([...s.walls,...s.runs,...s.junctions,...s.pieces].map(e=>[e.id,e.storey]));return({walls:e,subject:n})=>t.get(e[0]??"")??
t.get(n)??null},le=class{root;svg;camera;storey;letter=4;work;groups;halos;defs=b("defs");constructor(t){this.work=t,this.storey=Ne(t.plan),
this.svg=b("svg",{class:"plan",tabindex:0,role:"application"});let e=b("g",{class:"world"});this.groups=Object.fromEntries(qn.map(n=>[n,b("g",
{class:n})])),e.append(...qn.map(n=>this.groups[n])),this.halos={under:b("path",{class:"halo under"}),held:b("path",{class:"halo held"})},this.
groups.lit.append(this.halos.held,this.halos.under),this.svg.append(this.defs,e),this.root=l("div"),this.root.className="stage",this.root.append(
this.svg),t.drawing.groups.length===0&&t.plan.walls.length===0&&this.root.append(u("nothing",l("p","There is nothing to draw: no lines and n\
o walls were read.")));for(let[n,,o]of He)this.root.classList.toggle(`no-${n}`,!o);this.frame(),this.camera=new ae(this.svg),ln(this.camera),
this.redraw()}show(t,e){this.root.classList.toggle(`no-${t}`,!e),e&&(t==="lower"||t==="upper")&&this.drawPlan()}turnTo(t){this.storey=t,this.
frame(),this.camera.frame(),this.redraw()}redraw(){this.drawLines(),this.drawPlan()}drawLines(){let{drawing:t,reading:e}=this.work;this.put(
"drawn",Cn(t,e)),this.put("regions",Dn(this.storey===null?e.regions:[],this.letter))}drawPlan(){let{plan:t}=this.work,e=r=>this.storey===null?
r:r.filter(a=>a.storey===this.storey),n=e(t.walls),o=new Set(n.map(r=>r.id));this.put("bodies",Wn(n,this.letter)),this.put("openings",Rn(n)),
this.put("junctions",_n(e(t.junctions),this.letter)),this.put("offers",Hn(t.near_misses,this.letter)),t.near_misses.forEach((r,a)=>{this.groups.
offers.children[0]?.children[a]?.classList.toggle("away",!o.has(r.wall))});for(let r of["lower","upper"]){let a=!this.root.classList.contains(
`no-${r}`);this.put(r,Nn(a?e(t.pieces):[],r))}let i=Ge(t);this.put("pins",In(t.findings,this.letter,r=>{let a=i(r);return a===null||this.storey===
null||a===this.storey}))}put(t,e){this.groups[t].replaceChildren(e)}draft(...t){this.groups.draft.replaceChildren(...t)}frame(){let t=Ae(this.
work.plan,this.work.drawing,this.storey);this.letter=An(t);let{x:e,y:n,width:o,height:i}=Pn(t,this.letter);this.svg.setAttribute("viewBox",[
e,n,o,i].map(a=>Math.round(a*100)/100).join(" ")),this.svg.setAttribute("font-size",String(this.letter));let r=Gn(this.letter);this.defs.replaceWith(
r),this.defs=r}bring(t,e){e!==null&&this.storey!==null&&e!==this.storey&&this.turnTo(e),requestAnimationFrame(()=>this.camera.show(t))}placeAt(t,e){
let[n,o]=this.camera.seen(t,e);return[n,-o]}pick(t){let e=je(t),n=e?.closest(".pin");if(n)return{findings:(n.dataset.findings??"").split(" ").
map(Number)};let o=e?.closest(".offer");if(o)return{offer:Number(o.dataset.offer)};let i=this.wallAt(this.placeAt(t.clientX,t.clientY));if(i)
return{wall:i};let r=e?.closest(".drawn path");return r?.dataset.layer===void 0?null:{layer:r.dataset.layer}}wallAt([t,e]){let n=Us*this.camera.
pixel,[o,i]=[null,Number.POSITIVE_INFINITY];for(let r of this.work.plan.walls){if(this.storey!==null&&r.storey!==this.storey)continue;let[a,
d]=[r.end[0]-r.start[0],r.end[1]-r.start[1]],c=a*a+d*d||1,p=Math.min(1,Math.max(0,((t-r.start[0])*a+(e-r.start[1])*d)/c)),f=Math.hypot(t-r.start[0]-
a*p,e-r.start[1]-d*p);f<=Math.max(n,r.thickness/2)&&f<i&&([o,i]=[r,f])}return o}light(t,e){let n=this.halos[t];e.length===0?n.removeAttribute(
"d"):n.setAttribute("d",e.map(Pe).join(""))}lightLayer(t){for(let e of this.groups.drawn.querySelectorAll("path"))e.classList.toggle("held",
t!==null&&e.dataset.layer===t)}lightFinding(t){for(let e of this.groups.pins.querySelectorAll(".pin"))e.classList.toggle("held",t!==null&&(e.
dataset.findings??"").split(" ").includes(String(t)))}};var de=class{root=l("div");now="";onTurn=t=>{};tabs=new Map;constructor(t,e){let n=u("tabs",l("div"));n.setAttribute("role","tablist"),n.setAttribute(
"aria-label",t),this.root.append(n);for(let[o,i,r]of e){let a=l("button",i);a.type="button",a.id=`tab-${o}`,a.setAttribute("role","tab"),a.setAttribute(
"aria-controls",`page-${o}`),a.addEventListener("click",()=>this.turn(o)),r.id=`page-${o}`,r.tabIndex=0,r.setAttribute("role","tabpanel"),r.
setAttribute("aria-labelledby",a.id),n.append(a),this.root.append(r),this.tabs.set(o,{tab:a,page:r,words:i})}n.addEventListener("keydown",o=>{
let i=[...this.tabs.keys()],r=i.findIndex(c=>this.tabs.get(c)?.tab===document.activeElement),a={ArrowRight:r+1,ArrowLeft:r-1,Home:0,End:i.length-
1}[o.key],d=a===void 0?void 0:i[(a+i.length)%i.length];d!==void 0&&(o.preventDefault(),this.turn(d),this.tabs.get(d)?.tab.focus())})}turn(t){
let e=t!==this.now;this.now=t;for(let[n,{tab:o,page:i}]of this.tabs)o.setAttribute("aria-selected",String(n===t)),o.tabIndex=n===t?0:-1,i.hidden=
n!==t;e&&this.onTurn(t)}count(t,e){let n=this.tabs.get(t);n&&(n.tab.replaceChildren(n.words),e>0&&n.tab.append(" ",u("number",l("span",String(
e)))))}};var Vs=300,js=["mm","cm","m"],Yn=(s,t,e,n)=>{let o=u("office-desk",l("div")),i=()=>js.includes(s.reading.units?.name??s.plan.frame.unit??""),
r=t.sections.map(h=>[h.name,`${h.name}, ${st(h.width_in,h.name.length>4)} wide`]),a=new le(s),d=new Yt,c=new Xt(a,d,i),p=new re(s,r),f=new oe(
s,r,i),v=new ie(s,i),w=new Qt(s,t.papers.map(h=>[h,h==="a4"?"A4":h])),S=new qt(s);S.onRevision=n;let M=new de("Work on the drawing",[["layer\
s","Layers",p.root],["walls","Walls",f.root],["findings","Findings",v.root],["files","Files",w.root],["revisions","Revisions",S.root]]);M.onTurn=
h=>{h==="files"&&w.load(),h==="revisions"&&S.load(),h!=="walls"&&c.on&&xt(!1)};let V=u("verdict",l("p")),j=u("source",l("p")),J=u("figures-l\
ine",l("p")),yt=u("desk-head",l("header",null,l("p",null,R("\u2190 All drawings","#/")),l("h1",null,x(s.job.file)),j,V,J)),B=m("Undo",()=>s.
undo()),rt=m("Redo",()=>s.redo()),at=m("Draw a wall",()=>xt(!c.on));at.setAttribute("aria-pressed","false");let vt=u("zoom",l("div",null,m("\
\u2212",()=>a.camera.zoom(1/1.5)),m("+",()=>a.camera.zoom(1.5)),m("Whole",()=>a.camera.whole())));vt.setAttribute("role","group"),vt.setAttribute(
"aria-label","Zoom"),vt.children[0]?.setAttribute("aria-label","Zoom out"),vt.children[1]?.setAttribute("aria-label","Zoom in");let me=u("ed\
its",l("div",null,at,B,rt));me.setAttribute("role","group"),me.setAttribute("aria-label","Edit");let ns=u("layers",l("fieldset",null,l("lege\
nd","Show"),...He.map(([h,g,y])=>{let A=nt(g,y,O=>a.show(h,O));return A.firstElementChild.value=h,A}))),bt=u("storeys",l("div")),ss=u("tools",
l("div",null,me,bt,vt,ns)),tt=u("status",l("p"));tt.setAttribute("role","status"),a.root.append(tt),a.svg.setAttribute("aria-label",`Plan of\
 ${s.job.file}`),a.svg.setAttribute("aria-describedby","keys");let os=u("viewer",l("div",null,ss,a.root,zn())),is=u("panel",l("div",null,M.root));
o.append(yt,u("caution",l("p","An aid, not a design: local code, the stamped drawings and the building official decide. Brace walls until th\
ey are tied; never walk on plates; keep guards on saws.")),u("desk",l("div",null,os,is)));let lt=h=>{tt.textContent=h,tt.classList.remove("b\
ad")},Ue=s.plan.storeys.length,Ve=()=>{let{plan:h}=s,g=Mn(h,s.drawing),y=[...h.storeys.map(G=>[G.id,G.name]),...g?[["","whole sheet"]]:[]];(Ue===
0&&h.storeys.length>0||!y.some(([G])=>G===(a.storey??"")))&&a.turnTo(Ne(h)),Ue=h.storeys.length;let O=JSON.stringify([y,a.storey]);bt.dataset.
now!==O&&(bt.dataset.now=O,bt.replaceChildren(...y.length>1?[_("Storey",y,a.storey??"",G=>{a.turnTo(G===""?null:G),bt.dataset.now=JSON.stringify(
[y,a.storey]),a.light("held",f.chosen),d.takeWalls(s.plan,a.storey)})]:[]))},Dt=()=>{let{plan:h,reading:g}=s,{error:y,warning:A,note:O}=h.tally,
G=g.units===null?"The unit of the drawing is not known: choose it under Layers.":`Read in ${_t[g.units.name]??g.units.name}; Layers tells ho\
w that was decided.`;j.textContent=`${(g.format??"").toUpperCase()} ${g.version}. ${G}`.trim(),V.className=`verdict ${y>0||!h.planned?"error":
A>0?"warning":"good"}`,V.textContent=h.planned?y>0?`Planned, with ${L(y,"error")} to settle first.`:A>0?`Planned. ${L(A,"warning")} to look \
at.`:"Planned; nothing is doubtful.":"There is no plan. See Findings for the reasons.";let ct=h.walls.filter(I=>I.state==="planned"&&I.confidence<
.75).length;J.textContent=[L(h.walls.filter(I=>I.state==="planned").length,"wall"),ct>0?`${ct} worth a look`:"",L(h.junctions.length,"juncti\
on"),L(h.pieces.length,"piece"),L(O,"note"),h.ledger.entities_read===0?"":`${h.ledger.used} of ${h.ledger.entities_read} entities used (${ot(
h.ledger.used/Math.max(1,h.ledger.entities_read))})`].filter(I=>I!=="").join(" \xB7 "),M.count("findings",h.findings.filter(I=>!I.looked_at).
length),B.disabled=s.canUndo===null,rt.disabled=s.canRedo===null,B.title=s.canUndo===null?"":`Undo: ${s.canUndo}`,rt.title=s.canRedo===null?
"":`Redo: ${s.canRedo}`},dt=(h,g=!0)=>{f.chosen=h,f.draw(),a.light("held",h),g&&h.length>0&&M.turn("walls");let[y]=h;lt(y===void 0?"":h.length>
1?L(h.length,"wall")+" chosen":`${U(Math.hypot(y.end[0]-y.start[0],y.end[1]-y.start[1]),i())}, ${y.section}, ${y.exterior?"exterior":"interi\
or"}`)},ge=h=>{dt(h);let[g]=h;g&&a.bring(On(h),g.storey)},xt=h=>{h&&(d.takeWalls(s.plan,a.storey),dt([],!1)),f.drafting=h,at.setAttribute("a\
ria-pressed",String(h)),c.turn(h),h?M.turn("walls"):lt(""),f.draw(),h&&a.svg.focus({preventScroll:!0})};f.onChoose=ge,f.onLook=h=>a.light("u\
nder",h),f.onDraft=xt,f.onShowPlace=h=>{let g=s.plan.walls.find(O=>O.id===h.wall),[y,A]=ne(h.from);a.bring({x:y,y:A,width:1,height:1},g?.storey??
null)},p.onLook=h=>a.lightLayer(h),v.onAccept=h=>f.accept(h),v.onWalls=ge,v.onTicked=Dt,v.onShow=(h,g)=>{let y=s.plan.findings[h];if(a.lightFinding(
h),!y)return;let A=s.plan.walls.filter(ct=>y.walls.includes(ct.id));if(a.light("under",A),!g||!y.at)return;let[O,G]=ne(y.at);a.bring({x:O-12,
y:G-12,width:24,height:24},Ge(s.plan)(y))},c.onTold=lt,c.onLeave=()=>xt(!1),c.onWall=(h,g)=>{let{section:y,exterior:A,bearing:O,top:G}=f.draftWall,
ct=s.plan.storeys.length>1?s.plan.storeys.find(kt=>kt.id===a.storey)?.name??null:null,I=([kt,ls])=>[Math.round(kt*1024)/1024,Math.round(ls*1024)/
1024],as={storey:ct,start:I(h),end:I(g),section:y,exterior:A,bearing:O,top:G};s.edit("wall drawn",kt=>kn(kt,as))},a.root.addEventListener("p\
ointermove",h=>{if(c.on||h.pointerType==="touch"||a.svg.classList.contains("moving"))return;let g=a.pick(h);a.light("under",g&&"wall"in g?[g.
wall]:[])}),a.root.addEventListener("pointerleave",()=>a.light("under",[])),a.root.addEventListener("click",h=>{if(c.on)return c.click(h);if(Kt())
return;let g=a.pick(h);if(!g)return dt([],!1);if("wall"in g){let{wall:y}=g,A=f.chosen.filter(O=>O!==y);return dt(h.shiftKey?A.length<f.chosen.
length?A:[...A,y]:[y])}if("findings"in g){let[y]=g.findings;M.turn("findings"),y!==void 0&&v.show(y,!1)}else if("offer"in g){let y=s.plan.near_misses[g.
offer];y&&f.accept([y])}else dt([],!1),lt(`Line of the drawing, on layer ${g.layer}`)});let rs=h=>{let g=s.plan.walls.filter(O=>a.storey===null||
O.storey===a.storey),y=f.chosen[0]?g.indexOf(f.chosen[0]):h>0?-1:0,A=g[(y+h+g.length)%g.length];A&&ge([A])};a.svg.addEventListener("keydown",
h=>{if(h.ctrlKey||h.metaKey||h.altKey||c.on)return;let g={n:()=>v.step(1),p:()=>v.step(-1),w:()=>rs(h.shiftKey?-1:1),d:()=>xt(!0),delete:()=>f.
remove(),backspace:()=>f.remove(),escape:()=>dt([],!1)}[h.key.toLowerCase()];g&&(h.preventDefault(),(h.key.toLowerCase()==="n"||h.key.toLowerCase()===
"p")&&M.turn("findings"),g())}),o.addEventListener("keydown",h=>{if(!(h.ctrlKey||h.metaKey)||h.altKey||h.target instanceof HTMLInputElement&&
h.target.type==="text")return;let g=h.key.toLowerCase();if(g==="z")h.shiftKey?s.redo():s.undo();else if(g==="y")s.redo();else return;h.preventDefault()});
let Ft=0;return s.onBusy=h=>{o.setAttribute("aria-busy",String(h)),clearTimeout(Ft),h&&(Ft=window.setTimeout(()=>lt("Planning again\u2026"),
Vs))},s.onPlan=()=>{let h=new Set(f.chosen.map(Re));f.chosen=s.plan.walls.filter(g=>h.has(Re(g))),Ve(),a.drawPlan(),a.light("held",f.chosen),
a.light("under",[]),d.takeWalls(s.plan,a.storey),f.draw(),v.follow(),a.lightFinding(v.at),Dt(),w.isShown&&(w.draw(),M.now==="files"&&w.load())},
s.onReading=()=>{p.draw(),a.drawLines(),Dt()},s.onDrawing=()=>{d.takeDrawing(s.drawing),a.turnTo(a.storey)},s.onDone=(h,g)=>{clearTimeout(Ft),
lt(`${h[0]?.toUpperCase()??""}${h.slice(1)}. Planned again in ${Math.round(g)} ms.`),e(tt.textContent??"")},s.onTrouble=h=>{clearTimeout(Ft),
tt.replaceChildren(W(h)),tt.classList.add("bad")},d.takeDrawing(s.drawing),d.takeWalls(s.plan,a.storey),Ve(),Dt(),M.turn(!s.plan.planned||s.
reading.units===null?"layers":s.plan.tally.error>0?"findings":"layers"),o};var Nt=class{list;keyOf;said;make;made=new Map;constructor(t,e,n,o){[this.list,this.keyOf,this.said,this.make]=[t,e,n,o]}show(t){let e=new Map;
for(let n of t){let[o,i]=[this.keyOf(n),this.said(n)],r=this.made.get(o);e.set(o,r?.said===i?r:{said:i,row:this.make(n)})}for(let[n,{row:o}]of this.
made){let i=e.get(n)?.row;i?i!==o&&o.replaceWith(i):o.remove()}this.made=e,[...e.values()].forEach(({row:n},o)=>{this.list.children[o]!==n&&
this.list.insertBefore(n,this.list.children[o]??null)})}row(t){return this.made.get(t)?.row}};var Js=8,Bs=["too-large","wrong-type","empty"],Ks={waiting:"waits its turn",working:"being planned",done:"planned",refused:"no plan yet",failed:"\
failed",cancelled:"stopped"},zs={reading:"reading the drawing",planning:"planning the plates",writing:"writing the files"},wt=s=>s.state==="\
working"&&s.stage?zs[s.stage]:s.state==="waiting"&&s.ahead>0?`waits for ${L(s.ahead,"other drawing")}`:Ks[s.state],Q=s=>s.state==="waiting"||
s.state==="working",ce=(s,t)=>{let e=l("progress");return e.max=1,t!==null&&(e.value=t),e.setAttribute("aria-label",s),e},he=class{root=u("h\
ome",l("div"));onChanged=()=>{};uploads;sending=u("sending",l("section"));complaint=l("div");told=l("p");finder;uploadRows;jobRows;names=new Map;jobs=null;wanted="";trouble=null;constructor(t,e){
this.uploads=e;let n=l("input");n.type="file",n.multiple=!0,n.id="choose",n.accept=".dxf,.ifc,.ifczip",n.addEventListener("change",()=>{e.add(
[...n.files??[]]),n.value=""});let o=l("label",null,l("b","Choose drawings"));o.htmlFor=n.id;let i=b("svg",{viewBox:"0 0 48 36","aria-hidden":"\
true"});i.append(b("path",{d:"M4 22V32H44V22M24 4V24M15 15L24 24L33 15"}));let r=u("drop",l("section",null,i,l("h2","Drop drawings here"),l(
"p",null,"DXF or IFC, one or many, up to ",l("b",K(t.limits.upload_bytes))," each"),n,o)),[a,d]=[l("ul"),u("jobs",l("ul"))];this.uploadRows=
new Nt(a,p=>String(p.id),p=>`${p.state} ${p.told.join()} ${p.trouble?.message??""}`,p=>this.upload(p)),this.jobRows=new Nt(d,p=>p.id,p=>JSON.
stringify([p,this.names.get(p.revision_of??"")]),p=>this.job(p)),this.sending.append(l("h2","On their way"),a),this.finder=this.field();let c=u(
"plans",l("section",null,l("h2","Plans"),this.complaint,this.finder,this.told,d));this.root.append(l("h1","Plate plans from drawings"),u("le\
ad",l("p",null,"Drop an architect\u2019s drawing. Look at what was read as walls, settle what is doubtful, take away cut lists and sheets. Everyt\
hing stays on this machine, in ",u("folder",x(t.folder)),".")),r,this.sending,c),this.sending.setAttribute("aria-label","On their way"),this.
draw()}take(t){this.jobs=t,this.drawPlans()}draw(){this.drawSending(),this.drawPlans()}drawSending(){let t=this.uploads.all.filter(e=>e.state!==
"sent");this.sending.hidden=t.length===0,this.uploadRows.show(t);for(let e of t){let n=this.uploadRows.row(String(e.id))?.querySelector("pro\
gress");n&&(n.value=e.share,n.nextSibling&&(n.nextSibling.textContent=`${Math.round(e.share*100)} %`))}}upload(t){let e=l("li",null,l("b",null,
x(t.file.name)),` ${K(t.file.size)} `);e.className=`upload ${t.state}`;let n=u("actions",l("div")),o=m("Dismiss",()=>this.uploads.forget(t),
"quiet");return t.state==="waiting"&&e.append("waits"),t.state==="sending"&&e.append(ce(`Sending ${t.file.name}`,t.share),"0 %"),(t.state===
"waiting"||t.state==="sending")&&n.append(m("Stop",()=>this.uploads.stop(t))),t.state==="there"&&t.job&&(e.append(...(t.told.length>0?t.told:
["This very file is here already. Nothing was added."]).map(i=>l("p",null,x(i)))),n.append(R("Open it",`#/job/${t.job.id}`),m("Plan it again\
 as another job",()=>this.uploads.retry(t,!0)),o)),t.state==="failed"&&t.trouble&&(e.append(W(t.trouble)),Bs.includes(t.trouble.code)||n.append(
m("Try again",()=>this.uploads.retry(t))),n.append(o)),Xn(n,t.file.name),e.append(n),e}drawPlans(){let{jobs:t}=this;this.complaint.replaceChildren(
...this.trouble?[W(this.trouble)]:[]);let e=this.wanted.trim().toLowerCase(),n=(t??[]).filter(o=>e===""||`${o.file} ${o.project} ${o.lot}`.toLowerCase().
includes(e));this.told.textContent=t===null?"Asking for the list\u2026":t.length===0?"None yet. Whatever is dropped stays here until it is d\
eleted.":n.length===0?"None by that name.":"",this.finder.hidden=(t?.length??0)<Js&&this.wanted==="",this.names=new Map((t??[]).map(o=>[o.id,
o.file])),this.jobRows.show(n)}field(){let t=l("input");return t.type="search",t.placeholder="file, project, lot",t.addEventListener("input",
()=>{this.wanted=t.value,this.drawPlans()}),pt("Find",t)}job(t){let e=l("li");e.className=`job ${t.state}`,e.dataset.job=t.id;let n=R("",`#/\
job/${t.id}`);n.append(x(t.file));let o=l("h3",null,n),i=u("state",l("span",wt(t))),r=[t.project,t.lot&&t.lot!==t.file.replace(/\.[^.]*$/,"")?
`Lot ${t.lot}`:"",zt(t.uploaded_at),K(t.bytes),t.walls===null?"":L(t.walls,"wall"),t.pieces?L(t.pieces,"piece"):""].filter(p=>p!=="");e.append(
o,i),Q(t)&&e.append(ce(`${wt(t)}: ${t.file}`,t.state==="working"&&t.steps>0?t.step/t.steps:null));let a=u("about",l("p",null,x(r.join(" \xB7 "))));
if(t.findings)for(let p of["error","warning","note"]){let f=t.findings[p];f>0&&a.append(" \xB7 ",X(p),` ${L(f,p)}`)}e.append(a);let d=t.revision_of===
null?void 0:this.names.get(t.revision_of);d!==void 0&&e.append(l("p",null,"New revision of ",x(d))),t.message&&e.append(u("said",l("p",null,
x(t.message))));let c=u("actions",l("div"));return Q(t)&&c.append(m("Stop",()=>this.act(Ut(t.id)))),(t.state==="failed"||t.state==="cancelle\
d")&&c.append(m("Try again",()=>this.act(Vt(t.id)))),t.state==="refused"&&c.append(R("Settle it",`#/job/${t.id}`)),Q(t)||c.append(m("Delete",
()=>an("Delete this plan?",`${t.file}: the drawing, its edits and its files are deleted from this machine.`,"Delete it",()=>this.act(qe(t.id))),
"quiet")),Xn(c,t.file),e.append(c),e}act(t){t.then(()=>this.trouble=null,e=>this.trouble=T(e)).finally(()=>{this.drawPlans(),this.onChanged()})}},
Xn=(s,t)=>{for(let e of s.children)e.setAttribute("aria-label",`${e.textContent}: ${t}`)};var qs=3,Ys=1500,pe=class{all=[];onChange=()=>{};onJob=t=>{};limits;sending=new Map;next=1;constructor(t){this.limits=t}add(t,e=null){for(let n of t){
let o=this.refusal(n);this.all.unshift({id:this.next++,file:n,revisionOf:e,again:!1,state:o?"failed":"waiting",share:0,told:[],trouble:o,job:null})}
this.go()}refusal(t){return t.size>this.limits.upload_bytes?new F(0,"too-large",`${K(t.size)} is more than this server takes (${K(this.limits.
upload_bytes)}).`,"Save the plan alone: purge unused blocks, drop pictures and the other sheets. The server's limit can be set when it is st\
arted."):t.size===0?new F(0,"empty","The file is empty, or it is a folder.","Drop the drawings themselves."):null}stop(t){this.sending.get(t.
id)?.stop(),t.state==="waiting"&&this.forget(t)}forget(t){this.all=this.all.filter(e=>e!==t),this.onChange()}retry(t,e=!1){Object.assign(t,{
again:e,state:"waiting",share:0,trouble:null,job:null,told:[]}),this.go()}get isBusy(){return this.all.some(t=>t.state==="waiting"||t.state===
"sending")}go(){for(let t of this.all.toReversed()){if(this.sending.size>=qs)break;t.state==="waiting"&&this.send(t)}this.onChange()}async send(t){
t.state="sending";let e={again:t.again,...t.revisionOf===null?{}:{revision_of:t.revisionOf}},n=rn(t.file,e,o=>{t.share=o,this.onChange()});this.
sending.set(t.id,n);try{let{job:o,already_there:i,told:r}=await n.done;Object.assign(t,{job:o,told:r,state:i?"there":"sent",share:1}),this.onJob(
t)}catch(o){let i=T(o);if(i.status===429)return t.state="waiting",this.sending.delete(t.id),setTimeout(()=>this.go(),Ys),this.onChange();Object.
assign(t,{state:"failed",trouble:i})}this.sending.delete(t.id),this.go()}};var Xs=200,ue=class s{job;drawing;reading;plan;overrides;edition;undone=[];done=[];asked=[];running=!1;onPlan=()=>{};onReading=()=>{};onDrawing=()=>{};onBusy=t=>{};onDone=(t,e)=>{};onTrouble=t=>{};constructor(t,e,n,o,i,r){
[this.job,this.drawing,this.reading]=[t,e,n],[this.plan,this.overrides,this.edition]=[o,i,r]}static async open(t){let[e,n,o,i]=await Promise.
all([jt(t.id),Jt(t.id),ve(t.id),be(t.id)]);return new s(t,e,n,o,i.overrides,i.edition)}get canUndo(){return this.done.at(-1)?.words??null}get canRedo(){
return this.undone.at(-1)?.words??null}get busy(){return this.running}edit(t,e){this.ask({words:t,edit:e,way:"edit",began:performance.now()})}undo(){
this.ask({words:"undone",edit:t=>this.done.at(-1)?.overrides??t,way:"undo",began:performance.now()})}redo(){this.ask({words:"done again",edit:t=>this.
undone.at(-1)?.overrides??t,way:"redo",began:performance.now()})}async reload(t){let[e,n,o,i]=await Promise.all([Jt(this.job.id),be(this.job.
id),t??ve(this.job.id),Et(this.job.id)]),r=Zn(this.drawing,o)?this.drawing:await jt(this.job.id);[this.reading,this.overrides,this.edition,this.
job]=[e,n.overrides,n.edition,i],this.take(o,r),this.onReading()}ask(t){this.asked.push(t),this.running||this.run()}async run(){this.running=
!0,this.onBusy(!0);for(let t=this.asked.shift();t;t=this.asked.shift())try{await this.one(t)}catch(e){this.asked.length=0;let n=T(e);this.onTrouble(
n),n.status===409?await this.reload().catch(()=>{}):this.onPlan()}this.running=!1,this.onBusy(!1)}async one({words:t,edit:e,way:n,began:o}){
let i=this.overrides,r=e(i,this.plan);if(n==="edit"&&Tn(i,r)||n==="undo"&&this.done.length===0||n==="redo"&&this.undone.length===0)return;let a=await Ye(
this.job.id,this.edition,r);this.edition=a.edition,this.overrides=r;let d=(n==="edit"?null:n==="undo"?this.done.pop():this.undone.pop())?.words??
t;(n==="undo"?this.undone:this.done).push({words:d,overrides:i}),n==="edit"&&(this.undone.length=0),this.done.length>Xs&&this.done.shift();let c=Zn(
this.drawing,a)?this.drawing:await jt(this.job.id);this.take(a,c),this.onDone(n==="edit"?t:`${d}: ${t}`,performance.now()-o),requestAnimationFrame(
()=>setTimeout(()=>performance.measure("edit-to-redraw",{start:o,end:performance.now()}))),a.reading_changed&&(this.reading=await Jt(this.job.
id),this.onReading())}take(t,e){let n=e!==this.drawing;[this.plan,this.drawing]=[t,e],n&&this.onDrawing(),this.onPlan()}},Zn=(s,t)=>s.frame.
inches_per_unit===t.frame.inches_per_unit&&s.frame.mirror===t.frame.mirror;var Qn=500,Zs=3e3,ts=1e3,fe=ht(document,"main"),De=ht(document,"#gone"),Qs=ht(document,"#spoken"),Fe=s=>{Qs.textContent=s},es=s=>new Promise(
t=>setTimeout(t,s)),Gt=s=>{let t=s!==null&&s.status===0;t!==!De.hidden&&(De.hidden=!t,De.replaceChildren(...t&&s?[l("b",s.message),` ${s.whatToDo}`]:
[]))},Ie=class{about;uploads;home;shown=0;jobs=[];looking;constructor(t){this.about=t,this.uploads=new pe(t.limits),this.home=new he(t,this.
uploads),this.uploads.onChange=()=>this.home.drawSending(),this.uploads.onJob=e=>{Fe(e.told.join(" ")||`${e.file.name} has arrived`),e.revisionOf!==
null&&e.state==="sent"&&e.job&&(location.hash=`#/job/${e.job.id}`),this.look()},this.home.onChanged=()=>this.look(),addEventListener("hashch\
ange",()=>{this.turn()}),this.takeDrops(),this.look(),this.turn()}look(){clearTimeout(this.looking);let t=Zs;It().then(({jobs:e})=>{Gt(null);
for(let n of e){let o=this.jobs.find(i=>i.id===n.id);o&&Q(o)&&!Q(n)&&Fe(`${n.file}: ${wt(n)}`)}this.jobs=e,this.home.take(e),(e.some(Q)||this.
uploads.isBusy)&&(t=Qn)},e=>{Gt(T(e)),t=ts}).finally(()=>{clearTimeout(this.looking),this.looking=window.setTimeout(()=>this.look(),t)})}async turn(){
let t=++this.shown,e=/^#\/job\/([\w-]+)$/.exec(location.hash)?.[1];if(e===void 0)return document.title="platewright office",this.put(this.home.
root);try{await this.open(e,t)}catch(n){t===this.shown&&this.put(this.page("This drawing cannot be opened",W(T(n)),m("Try again",()=>{this.turn()})))}}async open(t,e){
let n=await Et(t);for(document.title=`${n.file} \xB7 platewright office`;Q(n);){if(e!==this.shown)return;let i=n.state==="working"&&n.steps>
0?n.step/n.steps:null;this.put(this.page(n.file,l("p",`${wt(n)}\u2026`),ce(wt(n),i),m("Stop",()=>{Ut(t).catch(r=>Gt(T(r)))}))),await es(Qn/2),
n=await Et(t)}if(e!==this.shown)return;if(n.state==="failed"||n.state==="cancelled")return this.put(this.stopped(n));this.put(this.page(n.file,
l("p","Opening\u2026")));let o=await ue.open(n);e===this.shown&&this.put(Yn(o,this.about,Fe,i=>{this.uploads.add(i,n.id),location.hash="#/"}))}stopped(t){
let e=()=>{Vt(t.id).then(()=>this.turn(),n=>Gt(T(n)))};return this.page(t.file,l("p",t.state==="failed"?"Planning failed; the drawing and it\
s edits are kept.":"Planning was stopped; the drawing and its edits are kept."),...t.message?[u("trouble",l("div",null,l("p",null,x(t.message))))]:
[],m("Try again",e))}page(t,...e){return u("plain",l("div",null,l("p",null,R("\u2190 All drawings","#/")),l("h1",null,x(t)),...e))}put(t){let e=fe.
firstElementChild!==t,n=fe.querySelector("h1")?.textContent;fe.replaceChildren(t);let o=t.querySelector("h1");!e||!o||n===void 0||n===o.textContent||
(o.tabIndex=-1,o.focus({preventScroll:!0}),scrollTo(0,0))}takeDrops(){let t=()=>this.home.root.querySelector(".drop");addEventListener("drag\
over",e=>{e.dataTransfer?.types.includes("Files")&&(e.preventDefault(),t()?.classList.add("over"))}),addEventListener("dragleave",e=>{e.relatedTarget===
null&&t()?.classList.remove("over")}),addEventListener("drop",e=>{e.dataTransfer?.types.includes("Files")&&(e.preventDefault(),t()?.classList.
remove("over"),this.uploads.add([...e.dataTransfer.files]),location.hash!=="#/"&&location.hash!==""&&(location.hash="#/"))}),addEventListener(
"beforeunload",e=>{this.uploads.isBusy&&e.preventDefault()})}},to=async()=>{for(;;)try{new Ie(await Be());return}catch(s){let t=T(s);if(Gt(t),
t.status!==0)return fe.replaceChildren(W(t));await es(ts)}};to();})();
