"use strict";(()=>{var as="http://www.w3.org/2000/svg",l=(s,t,...e)=>{let n=document.createElement(s);return t&&(n.textContent=t),n.append(...e),n},b=(s,t={})=>{
let e=document.createElementNS(as,s);for(let[n,o]of Object.entries(t))e.setAttribute(n,String(o));return e},x=s=>l("bdi",s),$=(s,t)=>`${s} ${t}${s===
1?"":"s"}`,ut=(s,t)=>{let e=s.querySelector(t);if(!e)throw new Error(`the page has no ${t}`);return e},je=s=>s.target instanceof Element?s.target:
null;var D=class extends Error{status;code;whatToDo;constructor(t,e,n,o){super(n),this.status=t,this.code=e,this.whatToDo=o}},ve=new D(0,"server-\
gone","The server does not answer.","Start \u201Cplatewright serve\u201D again. What the server has confirmed is kept on disk; this page goes on by it\
self."),be=s=>new D(s,"strange-answer",`The server gave an answer that this page does not understand (status ${s}).`,"Load the page again: t\
he program may have been replaced by another version."),ls=s=>typeof s=="object"&&s!==null&&"message"in s&&"what_to_do"in s,Be=(s,t)=>{try{let e=JSON.
parse(t);if(ls(e))return new D(s,e.code,e.message,e.what_to_do)}catch{}return s===0?ve:be(s)},W=async(s,t,e,n)=>{let o,i;try{o=await fetch(t,
{method:s,...n?{signal:n}:{},...e===void 0?{}:{body:JSON.stringify(e),headers:{"content-type":"application/json"}}}),i=await o.text()}catch(r){
throw n?.aborted?r:ve}if(!o.ok)throw Be(o.status,i);if(o.status!==204)try{return JSON.parse(i)}catch{throw be(o.status)}},O=(s,t="")=>`/api/\
jobs/${encodeURIComponent(s)}${t}`,Je=()=>W("GET","/api/about"),Ke=()=>W("GET","/api/codes"),Ft=()=>W("GET","/api/jobs"),Lt=s=>W("GET",O(s)),
ze=(s,t)=>W("PATCH",O(s),t),qe=s=>W("DELETE",O(s)),It=s=>W("POST",O(s,"/cancel")),Ut=s=>W("POST",O(s,"/again")),Vt=s=>W("GET",O(s,"/drawing")),
jt=s=>W("GET",O(s,"/reading")),xe=s=>W("GET",O(s,"/plan")),ke=s=>W("GET",O(s,"/overrides")),Ye=(s,t,e)=>W("PUT",O(s,"/overrides"),{edition:t,
overrides:e}),Xe=s=>W("GET",O(s,"/settings")),Ze=(s,t,e)=>W("PUT",O(s,"/settings"),{edition:t,toml:e}),Qe=(s,t,e)=>W("PUT",O(s,`/findings/${encodeURIComponent(
t)}`),{looked_at:e}),tn=s=>W("GET",O(s,"/files")),en=(s,t)=>W("GET",O(s,`/compare/${encodeURIComponent(t)}`)),nn=(s,t)=>O(s,`/files/${encodeURIComponent(
t)}`),sn=s=>O(s,"/zip"),on=s=>O(s,"/overrides.toml"),Ee=(s,t)=>O(s,`/compare/${encodeURIComponent(t)}/changes.svg`),rn=(s,t,e)=>{let n=new XMLHttpRequest,
o=new URLSearchParams({name:s.name});return t.revision_of&&o.set("revision_of",t.revision_of),t.again&&o.set("again","true"),{done:new Promise(
(r,a)=>{n.open("POST",`/api/jobs?${o}`),n.setRequestHeader("content-type","application/octet-stream"),n.upload.onprogress=d=>d.lengthComputable&&
e(d.loaded/d.total),n.onload=()=>{if(n.status<200||n.status>=300)return a(Be(n.status,n.responseText));try{r(JSON.parse(n.responseText))}catch{
a(be(n.status))}},n.onerror=()=>a(ve),n.onabort=()=>a(new D(0,"stopped","You stopped this upload.","Nothing was kept of it.")),n.send(s)}),stop:()=>n.
abort()}};var g=(s,t,e="")=>{let n=l("button",s);return n.type="button",n.className=e,n.addEventListener("click",t),n},H=(s,t,e=!1)=>{let n=l("a",s);return n.
href=t,e&&(n.download=""),n},P=(s,t,e,n)=>{let o=l("select");for(let[i,r]of t){let a=l("option",r);a.value=i,a.selected=i===e,o.append(a)}return o.
addEventListener("change",()=>n(o.value)),ft(s,o)},ds=0,ft=(s,t)=>{let e=l("label",s);return t.id=e.htmlFor=`field-${++ds}`,u("field",l("div",
null,e,t))},st=(s,t,e)=>{let n=l("input");n.type="checkbox",n.checked=t,n.addEventListener("change",()=>e(n.checked));let o=l("label",null,n,
` ${s}`);return o.className="check",o},q=(s,t,e,n)=>{let o=l("input");o.type="text",o.value=t,o.placeholder=e,o.autocomplete="off",o.spellcheck=
!1;let i=l("small");i.className="complaint",i.setAttribute("role","alert"),o.addEventListener("change",()=>{let a=n(o.value);i.textContent=a??
"",o.setAttribute("aria-invalid",String(a!==null))});let r=ft(s,o);return r.append(i),r},u=(s,t)=>(t.setAttribute("class",s),t),T=(s,t,...e)=>{
let n=l("dd",null,...e);s.append(l("dt",t),n)},L=s=>s instanceof D?s:new D(0,"page-error",`The page made a mistake: ${s instanceof Error?s.message:
String(s)}.`,"Load the page again."),R=s=>u("trouble",l("div",null,l("p",s.message),l("p",s.whatToDo))),an=(s,t,e,n)=>{let o=l("dialog"),[i,
r]=[l("h2",s),l("p",t)];i.id="asked",r.id="asked-why",o.setAttribute("aria-labelledby",i.id),o.setAttribute("aria-describedby",r.id);let a=l(
"div",null,g("Keep it",()=>o.close()),g(e,()=>{o.close(),n()},"grave"));a.className="actions",o.append(i,r,a),o.addEventListener("close",()=>o.
remove()),document.body.append(o),o.showModal()};var Bt=!1,Jt=()=>Bt,ln=s=>{let{svg:t}=s,e=new Map,n=0,o=()=>{let[r={x:0,y:0},a=r]=e.values();return{x:(r.x+a.x)/2,y:(r.y+a.y)/2,apart:Math.hypot(
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
(dn=s.timeStamp)},{passive:!0});var Y=s=>{let t=Math.round(Math.abs(s)*16),e=s<0&&t>0?"\u2212":"",n=Math.floor(t/192),o=Math.floor(t%192/16),[i,r]=[t%16,16];for(;i>0&&i%2===
0;)[i,r]=[i/2,r/2];let a=i>0?`${i}/${r}`:"",d=a===""?`${o}"`:o===0&&n===0?`${a}"`:`${o} ${a}"`;return e+(n>0?`${n}'-${d}`:d)},Te=s=>`${Math.
round(s*25.4).toLocaleString("en-US")} mm`,I=(s,t)=>t?`${Te(s)} (${Y(s)})`:`${Y(s)} (${Te(s)})`,ot=(s,t)=>t?Te(s):Y(s),cs=String.raw`(?:\d+\s*\/\s*\d+)`,
hs=new RegExp(String.raw`^(\d+(?:\.\d+)?)\s*(?:'|ft|feet|′)\s*-?\s*(.*)$`,"i"),ps=new RegExp(String.raw`^(?:(\d+(?:\.\d+)?)(?:\s+|-)?)?(${cs})?\s*(?:"|in|inches|″|'')?$`,
"i"),us=/^(\d+(?:\.\d+)?)\s*(mm|cm|m)$/i,fs={mm:1/25.4,cm:10/25.4,m:1e3/25.4},cn=s=>{let t=ps.exec(s);if(!t||t[1]===void 0&&t[2]===void 0)return null;
let[e=0,n=1]=t[2]===void 0?[]:t[2].split("/").map(Number);return n===0?null:Number(t[1]??0)+e/n},hn=s=>{let t=s.trim().replace(/[’]/g,"'").
replace(/[”“]/g,'"'),e=us.exec(t);if(e)return Number(e[1])*(fs[(e[2]??"").toLowerCase()]??Number.NaN);let n=hs.exec(t);if(!n)return cn(t);
let o=(n[2]??"").trim(),i=o===""?0:cn(o);return i===null?null:Number(n[1])*12+i},j=s=>s<1e3?`${s} bytes`:s<1e6?`${(s/1e3).toFixed(s<1e4?1:0)}\
 kB`:s<1e9?`${(s/1e6).toFixed(s<1e7?1:0)} MB`:`${(s/1e9).toFixed(1)} GB`,Kt=s=>new Date(s*1e3).toLocaleString(void 0,{dateStyle:"medium",timeStyle:"\
short"}),it=s=>`${Math.round(s*100)} %`;var zt=class{root=l("section");onRevision=t=>{};work;old;jobs=[];result=l("div");constructor(t){this.work=t,this.old=t.job.revision_of,this.
result.setAttribute("aria-live","polite")}async load(){try{let{jobs:t}=await Ft();this.jobs=t.filter(e=>e.id!==this.work.job.id&&e.state==="\
done"),this.draw(),this.jobs.some(e=>e.id===this.work.job.revision_of)&&this.result.childElementCount===0&&await this.compare()}catch(t){this.
root.replaceChildren(l("h2","Revisions"),R(L(t)))}}draw(){let t=l("input");if(t.type="file",t.accept=".dxf,.ifc,.ifczip",t.className="away",
t.addEventListener("change",()=>{t.files&&t.files.length>0&&this.onRevision([...t.files])}),this.root.replaceChildren(l("h2","Revisions"),l(
"p","A new revision of this drawing takes over its names, its settings and every edit that still fits."),g("Choose the new revision\u2026",()=>t.
click()),t,l("h3","Compare with an older plan")),this.jobs.length===0){this.root.append(l("p","There is no other plan to compare with."));return}
this.jobs.some(e=>e.id===this.old)||(this.old=this.jobs[0]?.id??null),this.root.append(P("Older plan",this.jobs.map(e=>[e.id,`${e.file}, ${Kt(
e.uploaded_at)}`]),this.old??"",e=>this.old=e),g("Compare",()=>{this.compare()}),this.result)}async compare(){let t=this.jobs.find(n=>n.id===
this.old);if(!t)return;let{job:e}=this.work;this.result.replaceChildren(l("p","Comparing\u2026"));try{let{same:n,text:o}=await en(e.id,t.id),
i=u("changes",l("img"));i.src=Ee(e.id,t.id),i.alt=`The plates of both plans, what changed drawn out: ${o.slice(0,3).join(" ")}`,i.addEventListener(
"error",()=>i.replaceWith(l("p","There is no picture of it.")));let r=H("Open the picture",Ee(e.id,t.id));r.target="_blank",this.result.replaceChildren(
l("h3",null,n?"The same plates as in ":"What changed since ",x(t.file)),u("changes-text",l("div",null,...o.map(a=>l("p",null,x(a))))),...n?[]:
[i,l("p",null,r)])}catch(n){this.result.replaceChildren(R(L(n)))}}};var X=(s,t)=>[s[0]-t[0],s[1]-t[1]],Se=(s,t,e)=>[s[0]+t[0]*e,s[1]+t[1]*e],St=s=>Math.hypot(s[0],s[1]),B=(s,t)=>St(X(s,t)),fn=({a:s,b:t},e)=>{
let n=X(t,s),o=n[0]**2+n[1]**2;if(o===0)return s;let i=((e[0]-s[0])*n[0]+(e[1]-s[1])*n[1])/o;return Se(s,n,Math.min(1,Math.max(0,i)))},$t=class{all=[];cells=new Map;long=[];add(t){
this.all.push(t);let{a:e,b:n}=t,[o,i]=[Math.floor(Math.min(e[0],n[0])/60),Math.floor(Math.max(e[0],n[0])/60)],[r,a]=[Math.floor(Math.min(e[1],
n[1])/60),Math.floor(Math.max(e[1],n[1])/60)];if(!((i-o+1)*(a-r+1)<=4e3)){this.long.push(t);return}for(let d=o;d<=i;d++)for(let c=r;c<=a;c++){
let p=`${d} ${c}`,f=this.cells.get(p);f?f.push(t):this.cells.set(p,[t])}}near(t,e){let n=new Set(this.long),[o,i]=[Math.floor((t[0]-e)/60),Math.
floor((t[0]+e)/60)],[r,a]=[Math.floor((t[1]-e)/60),Math.floor((t[1]+e)/60)];for(let d=o;d<=i;d++)for(let c=r;c<=a;c++)for(let p of this.cells.
get(`${d} ${c}`)??[])n.add(p);return n}},qt=class{drawn=new $t;walls=new $t;takeDrawing(t){for(let{lines:e}of t.groups)for(let n=0;n+3<e.length;n+=
4)this.drawn.add({a:[e[n]??0,e[n+1]??0],b:[e[n+2]??0,e[n+3]??0]})}takeWalls(t,e){this.walls=new $t;for(let n of t.walls)n.state==="removed"||
e!==null&&n.storey!==e||this.walls.add({a:[n.start[0],n.start[1]],b:[n.end[0],n.end[1]]})}pull(t,e,n){let o=this.walls.near(t,e),i=rt(t,e,Le(
o),"end of a wall");if(i)return i;let r=n&&ms(n,t);return r&&B(r,t)<=e?rt(t,e,un(o,n,r),"square, on a wall")??this.drawnOn(r,e,n)??{at:r,to:"\
square"}:rt(t,e,pn(o,t),"middle line of a wall")??this.drawnOn(t,e,null)}drawnOn(t,e,n){let o=this.drawn.near(t,Math.max(e,16));return n?rt(
t,e,un(o,n,t),"square, on a line"):rt(t,e,gs(o,t),"middle of two lines")??rt(t,e,Le(o),"end of a line")??rt(t,e,pn(o,t),"line")}ends(){let t=[
...Le(this.walls.all)];return t.sort((e,n)=>e[0]-n[0]||e[1]-n[1]).filter((e,n)=>n===0||B(e,t[n-1]??e)>.01)}},rt=(s,t,e,n)=>{let o=null,i=t;for(let r of e){
let a=B(s,r);a<=i&&([o,i]=[{at:r,to:n},a])}return o};function*Le(s){for(let{a:t,b:e}of s)yield t,yield e}function*pn(s,t){for(let e of s)yield fn(
e,t)}var ms=(s,t)=>{let e=X(t,s),n=St(e);return n<1?null:Math.abs(e[1])/n<.05?[t[0],s[1]]:Math.abs(e[0])/n<.05?[s[0],t[1]]:null};function*un(s,t,e){
let n=X(e,t);for(let{a:o,b:i}of s){let r=X(i,o),a=n[0]*r[1]-n[1]*r[0];if(Math.abs(a)<1e-9)continue;let d=X(o,t),[c,p]=[(d[0]*r[1]-d[1]*r[0])/
a,(d[0]*n[1]-d[1]*n[0])/a];c>0&&p>=-.001&&p<=1.001&&(yield Se(t,n,c))}}function*gs(s,t){let e=[...s].map(n=>{let o=fn(n,t);return{foot:o,away:B(
o,t),d:X(n.b,n.a)}}).filter(({away:n,d:o})=>n<=16&&St(o)>2).sort((n,o)=>n.away-o.away).slice(0,12);for(let[n,o]of e.entries())for(let i of e.
slice(n+1)){let r=B(o.foot,i.foot);if(r<2||r>16||o.away+i.away>r*1.05)continue;let a=(o.d[0]*i.d[1]-o.d[1]*i.d[0])/(St(o.d)*St(i.d));Math.abs(
a)<.02&&(yield Se(o.foot,X(i.foot,o.foot),.5))}}var ws=14,mn=12,ys=6,Yt=class{stage;snapper;metric;start=null;cross=null;caught=null;ends=[];end=-1;on=!1;onWall=(t,e)=>{};onTold=t=>{};onLeave=()=>{};constructor(t,e,n){
[this.stage,this.snapper,this.metric]=[t,e,n];let{root:o}=t;o.addEventListener("pointermove",i=>{this.on&&this.moveTo(t.placeAt(i.clientX,i.
clientY))}),o.addEventListener("pointerleave",()=>this.on&&this.show(null)),o.addEventListener("keydown",i=>this.on&&this.key(i),{capture:!0})}turn(t){
this.on=t,this.stage.svg.classList.toggle("drafting",t),[this.start,this.cross,this.end]=[null,null,-1],this.ends=t?this.snapper.ends():[],this.
show(null),t&&this.onTold("Click where the wall begins, on its middle line.")}click(t){Jt()||(this.moveTo(this.stage.placeAt(t.clientX,t.clientY)),
this.put())}moveTo(t){this.cross=t,this.caught=this.snapper.pull(t,ws*this.stage.camera.pixel,this.start),this.show(this.caught?.at??t)}put(){
let t=this.caught?.at??this.cross;if(!t)return;if(!this.start)return this.start=t,this.onTold("Click where it ends. Esc begins again."),this.
show(t);if(B(this.start,t)<ys)return this.onTold("Too short for a wall: 6 in at least. Click where it ends.");let e=this.start;this.start=null,
this.show(null),this.onTold("Click where the next wall begins, or press Esc to stop drawing."),this.onWall(e,t),this.ends=this.snapper.ends()}key(t){
if(t.ctrlKey||t.metaKey||t.altKey)return;if(t.key==="Escape")return t.preventDefault(),t.stopPropagation(),this.start?(this.start=null,this.
onTold("Click where the wall begins, on its middle line."),this.show(this.cross)):this.onLeave();let e=t.shiftKey?1:mn,n={ArrowLeft:[-e,0],ArrowRight:[
e,0],ArrowUp:[0,e],ArrowDown:[0,-e]}[t.key];if(n){let[o,i]=this.cross??this.middle();this.cross=[o+n[0],i+n[1]],this.caught=t.shiftKey?null:
this.snapper.pull(this.cross,mn*.4,this.start),this.say(this.caught?.at??this.cross)}else if(t.key.toLowerCase()==="e"&&this.ends.length>0){
this.end=(this.end+(t.shiftKey?-1:1)+this.ends.length)%this.ends.length;let o=this.ends[this.end];if(!o)return;this.cross=o,this.caught={at:o,
to:"end of a wall"},this.say(o)}else if(t.key==="Enter"||t.key===" ")this.put();else return;t.preventDefault(),t.stopPropagation()}middle(){
let t=this.stage.root.getBoundingClientRect();return this.stage.placeAt(t.left+t.width/2,t.top+t.height/2)}say(t){this.show(t),this.stage.camera.
show({x:t[0],y:-t[1],width:1,height:1});let e=this.start?`, ${ot(B(this.start,t),this.metric())} long`:"";this.onTold(`Cross at ${ot(t[0],this.
metric())} across, ${ot(t[1],this.metric())} up${this.caught?`, ${this.caught.to}`:""}${e}. Enter puts a point.`)}show(t){if(!t)return this.
stage.draft(...this.start?[this.dot(this.start)]:[]);let{pixel:e}=this.stage.camera,n=e*13,[o,i]=[t[0],-t[1]],r=[b("path",{class:this.caught?
"cross caught":"cross",d:`M${o-n} ${i}H${o+n}M${o} ${i-n}V${i+n}`})],a=this.caught?.to??"";if(this.start&&(r.unshift(b("path",{class:"rubber",
d:`M${this.start[0]} ${-this.start[1]}L${o} ${i}`}),this.dot(this.start)),a=`${ot(B(this.start,t),this.metric())}${a?`, ${a}`:""}`),a){let d=b(
"text",{transform:`translate(${o} ${i-e*24})`,"font-size":e*14});d.textContent=a,r.push(d)}this.stage.draft(...r)}dot([t,e]){return b("path",
{class:"dot",d:`M${t} ${-e}h0`})}};var G=s=>({version:1,units:s.units??null,mirror:s.mirror??null,region:s.region??[],layers:s.layers??[],walls:s.walls??[],removed:s.removed??
[],added:s.added??[],snaps:s.snaps??[]}),gn=(s,t)=>s[0]===t[0]&&s[1]===t[1],Mt=(s,t)=>s.entity===t.entity&&gn(s.start,t.start)&&gn(s.end,t.end),
wn=s=>s.edits.find(t=>t.list==="added")?.index??-1,vs=s=>[s.section,s.exterior,s.bearing,s.top].every(t=>t==null),yn=(s,t,e)=>{let n=G(s),{ref:o}=t;
if(o===null){let d=wn(t),{section:c,...p}=e,f=m=>({...m,...p,...c?{section:c}:{}});return{...n,added:n.added.map((m,y)=>y===d?f(m):m)}}let i=n.
walls.find(d=>Mt(d.wall,o)),r={...i,...e,wall:o},a=n.walls.filter(d=>d!==i);return{...n,walls:vs(r)?a:[...a,r]}},vn=(s,t)=>{let e=G(s),{ref:n}=t;
if(n===null){let o=wn(t);return{...e,added:e.added.filter((i,r)=>r!==o)}}return e.removed.some(o=>Mt(o.wall,n))?e:{...e,removed:[...e.removed,
{wall:n}]}},bn=(s,t)=>{let e=G(s),{ref:n}=t;if(n===null)return e;let o=i=>i.filter(r=>!Mt(r.wall,n));return{...e,walls:o(e.walls),removed:o(
e.removed),snaps:o(e.snaps)}},xn=(s,t)=>{let e=G(s),{ref:n}=t;return n===null?e:{...e,removed:e.removed.filter(o=>!Mt(o.wall,n))}},kn=(s,t)=>{
let e=G(s);return{...e,added:[...e.added,t]}},En=(s,t)=>{let e=G(s),n=e.snaps.filter(o=>!(Mt(o.wall,t.wall)&&o.end===t.end));return{...e,snaps:[
...n,t]}},Xt=(s,t,e)=>{let n=G(s),o=n.layers.filter(i=>i.match!==t);return{...n,layers:e?[e,...o]:o}},Tn=(s,t)=>JSON.stringify(G(s))===JSON.
stringify(G(t));var Zt=class{root=l("section");work;papers;list=l("div");asked=0;settingsBox;constructor(t,e){[this.work,this.papers]=[t,e],this.list.setAttribute(
"aria-live","polite"),this.settingsBox=this.settings(),this.draw()}draw(){let{job:t,plan:e}=this.work,n=l("dl");for(let i of e.lumber)T(n,i.
lumber,`${i.boards} boards to buy, ${i.bought_text}${i.on_hand>0?`, ${i.on_hand} on hand`:""}; ${i.used_text} used`);let o=i=>(ze(t.id,i).then(
async()=>{await this.work.reload(),this.draw(),await this.load()},r=>this.work.onTrouble(L(r))),null);this.root.replaceChildren(l("h2","File\
s"),u("controls",l("div",null,q("Project",t.project,"none",i=>o({project:i.trim()})),q("Lot",t.lot,"none",i=>o({lot:i.trim()})),P("Paper of \
the sheets",this.papers,t.paper,i=>{o({paper:i})}))),this.list,this.settingsBox,...e.lumber.length>0?[l("h3","Boards"),n]:[],l("h3","Proved"),
u("proof",l("ul",null,...e.checked.map(i=>{let r=l("li",`${i.breaches===0?"\u2713":"\u2717"} ${i.what}: ${i.looked_at} looked at${i.breaches===
0?"":`, ${i.breaches} broken`}`);return r.className=i.breaches===0?"":"broken",r}))),l("h3","Cautions"),u("cautions",l("ul",null,...bs.map(i=>l(
"li",i)))))}settings(){let t=l("textarea");t.rows=14,t.spellcheck=!1;let e=l("div");e.setAttribute("role","status");let n=0,o=g("Save and pl\
an again",()=>{e.replaceChildren(l("p","Planning\u2026")),Ze(this.work.job.id,n,t.value).then(async a=>{n=a.edition,await this.work.reload(a),
e.replaceChildren(l("p","Saved, and planned again."))},a=>e.replaceChildren(R(L(a))))}),i=ft("TOML, as described in README",t),r=u("settings",
l("details",null,l("summary","Settings: rules, stock, prices"),i,o,e));return r.addEventListener("toggle",()=>{r.open&&Xe(this.work.job.id).
then(a=>{[n,t.value]=[a.edition,a.toml]},a=>e.replaceChildren(R(L(a))))}),r}async load(){let{job:t,plan:e}=this.work;if(!e.planned){this.list.
replaceChildren(l("p","There is no plan, so there are no files. See Findings for the reasons."));return}let n=++this.asked;this.list.replaceChildren(
l("p","The files are being made\u2026"));try{let o=await tn(t.id);n===this.asked&&this.show(o)}catch(o){if(n!==this.asked)return;this.list.replaceChildren(
R(L(o)),g("Try again",()=>{this.load()}))}}get isShown(){return this.asked>0}show({files:t,zip:e}){let{job:n}=this.work,o=t.map(a=>{let d=H(
"",nn(n.id,a.name),!0);return d.append(x(a.name)),l("li",null,d,` ${a.what} `,l("small",j(a.bytes)))}),i=u("all",H("",sn(n.id),!0));i.append(
"All files in one zip ",l("small",null,x(e)));let r=H("",on(n.id),!0);r.append("overrides.toml"),this.list.replaceChildren(i,u("files",l("ul",
null,...o,l("li",null,r," the edits made here; the same plan on the command line with platewright plan --overrides"))))}},bs=["This plan is \
an aid, not a design: local code, the stamped drawings and the building official decide.","Check the slab or deck against the plan before cu\
tting.","Brace a raised wall before letting go, and leave the braces until the corners are tied.","Set upper plates from ladders or scaffold\
s; never stand or walk on plates.","Saws: guard working, hands out of the line of a plunge cut. Eye and ear protection near nailers."];var te=[["","by the floor's outline"],["yes","exterior"],["no","interior"]],ee=[["","not known"],["yes","bearing"],["no","not bearing"]],at=s=>s===
!0?"yes":s===!1?"no":"",lt=s=>s===""?null:s==="yes",xs=12,ks=480,Es=[["wall","walls"],["door","doors"],["window","windows"],["opening","open\
ings"],["ignore","nothing: left out"]],At={in:"inches",ft:"feet",mm:"millimetres",cm:"centimetres",m:"metres"},ne=s=>{if(s.trim()==="")return{
top:null};let t=hn(s);return t===null?{wrong:`Not a length. Try 8'-1 1/8", 97.125 (inches) or 2467 mm.`}:t<xs||t>ks?{wrong:"A plate's top is\
 from 1' to 40' above the floor."}:{top:t}},Qt=class{root=l("section");onLook=t=>{};work;sections;constructor(t,e){this.work=t,this.sections=
[["","as read"],...e],this.root.addEventListener("pointerover",n=>this.onLook(Ln(n))),this.root.addEventListener("pointerleave",()=>this.onLook(
null)),this.root.addEventListener("focusin",n=>this.onLook(Ln(n))),this.draw()}draw(){let{reading:t}=this.work,e=Pt(this.root),n=this.root.querySelector(
"details")?.open??!1,o=t.rows.map(d=>({row:d,weight:Ts(d)})),[i,r]=[o.filter(d=>d.weight>0),o.filter(d=>d.weight===0)];i.sort((d,c)=>c.weight-
d.weight);let a=t.rows_are==="layers";if(this.root.replaceChildren(l("h2","Units and layers"),this.units(t),...this.regions(t),l("h3",a?"Wha\
t the layers are":"What the wall types are"),...i.length===0?[l("p","No layer is taken for walls. Choose one below.")]:[],...i.map(d=>this.row(
d.row))),r.length>0){let d=u("more-rows",l("details",null,l("summary",`${i.length>0?"Other":"All"} ${a?"layers":"types"} (${r.length})`),...r.
map(c=>this.row(c.row))));d.open=n||i.length===0,this.root.append(d)}Ct(this.root,e)}units(t){let{overrides:e}=this.work,n=u("units",l("div")),
o=l("dl");if(t.units){let i=At[t.units.name]??t.units.name;T(o,"Unit",l("strong",i)),T(o,"Decided by",x(t.units.decided_by))}else T(o,"Unit",
l("strong","not known")),t.unit_said&&T(o,"The file says",x(t.unit_said)),n.append(u("trouble",l("p","The drawing does not say in which unit\
 it is drawn. Choose it: nothing is planned before.")));if(n.append(o,P("Read the drawing in",[["","what the file says"],...Object.entries(At)],
e.units??"",i=>this.work.edit("unit chosen",r=>({...G(r),units:i||null})))),t.unit_readings.length>0){let i=t.unit_readings.map(r=>l("li",null,
l("b",`${At[r.unit]??r.unit}: `),r.plausible?"plausible. ":"not plausible. ",x(r.evidence)));n.append(l("details",null,l("summary","How each\
 unit would look"),l("ul",null,...i)))}n.append(P("Mirrored",[["none","no"],["x","left and right"],["y","front and back"]],e.mirror??"none",
i=>this.work.edit("mirrored",r=>({...G(r),mirror:i==="none"?null:i}))));for(let i of n.querySelectorAll("select"))i.dataset.key=`u ${i.previousElementSibling?.
textContent??""}`;return n}regions({regions:t}){if(t.length<2)return[];let e=new Set(t.filter(o=>o.planned).map(o=>o.number)),n=t.map(o=>{let i=st(
"",o.planned,r=>{r?e.add(o.number):e.delete(o.number);let a=[...e].sort((d,c)=>d-c).map(String);this.work.edit("drawings of the sheet chosen",
d=>({...G(d),region:a}))});return i.append(l("b",`${o.number} `),x(o.title||"without a title"),` ${o.kind}, ${$(o.walls,"wall")}`),i.firstElementChild.
dataset.key=`region ${o.number}`,l("li",null,i,l("small",o.why))});return[l("h3","Drawings on the sheet"),u("regions-list",l("ul",null,...n))]}row(t){
let e=this.work.overrides.layers?.find(p=>p.match===t.name),n=l("h4",null,x(t.name||"(no name)")),o=l("p",null,[$(t.entities,"entity").replace(
"entitys","entities"),t.walls>0?$(t.walls,"wall"):"",t.walls_score===null?"":`looks like walls: ${it(t.walls_score/100)}`,t.off?"switched of\
f":"",t.frozen?"frozen":""].filter(p=>p!=="").join(" \xB7 ")),i=(p,f)=>{let m=f.use??t.used_as,y=e??{match:t.name,use:m},k=m==="wall"?{...y,
...f,match:t.name,use:m}:{match:t.name,use:m};this.work.edit(p,M=>Xt(M,t.name,k))},r=[P("Taken as",Es,t.used_as,p=>i("layer mapped",{use:p}))];
t.used_as==="wall"&&r.push(P("Side",te,at(t.exterior),p=>i("side of a layer",{exterior:lt(p)})),P("Bearing",ee,at(t.bearing),p=>i("bearing o\
f a layer",{bearing:lt(p)})),P("Section",Ls(this.sections,e?.section??t.section??""),e?.section??t.section??"",p=>i("section of a layer",{section:p||
null})),q("Top above floor",t.top===null?"":Y(t.top),"as read",p=>{let f=ne(p);return"wrong"in f?f.wrong:(i("height of a layer",{top:f.top}),
null)})),r.forEach((p,f)=>{let m=p.querySelector("select, input");m&&(m.dataset.key=`${t.name} ${f}`)});let a=l("small",null,t.rule,t.framing?
`. Framing: ${t.framing}`:""),d=u(e?"row edited":"row",l("div",null,n,o,u("controls",l("div",null,...r)),a)),{proposed:c}=t;return c&&!e&&d.
append(g("Take as proposed",()=>this.work.edit("proposed mapping taken",p=>Xt(p,t.name,c)))),e&&d.append(g("As before",()=>this.work.edit("m\
apping taken back",p=>Xt(p,t.name,null)),"quiet")),d.dataset.layer=t.name,d}},Ts=s=>s.used_as==="wall"?1e3+s.walls:s.edit!==null||s.proposed?
900:s.used_as!=="ignore"?500:(s.walls_score??0)>=50?100+(s.walls_score??0):0,Ls=(s,t)=>s.some(([e])=>e===t)?s:[...s,[t,t]],Ln=s=>(s.target instanceof
Element?s.target.closest("[data-layer]")?.dataset.layer:null)??null,Pt=s=>{let{activeElement:t}=document;return t instanceof HTMLElement&&s.
contains(t)?t.dataset.key??null:null},Ct=(s,t)=>{if(t!==null){for(let e of s.querySelectorAll("[data-key]"))if(e.dataset.key===t)return e.focus(
{preventScroll:!0})}};var C=s=>Math.round(s*100)/100,ie=([s,t])=>[s,-t],Pe=([s,t])=>`M${C(s)} ${C(-t)}`,$e=([s,t])=>`L${C(s)} ${C(-t)}`,J=s=>s.map((t,e)=>e===0?Pe(
t):$e(t)).join(""),K=s=>`${J(s)}z`,mt=.75,$n=s=>{let t=null;for(let[e,n]of s)t??={left:e,bottom:n,right:e,top:n},t.left=Math.min(t.left,e),t.
right=Math.max(t.right,e),t.bottom=Math.min(t.bottom,n),t.top=Math.max(t.top,n);return t},Me=s=>{let[t,e,n,o]=s??[];return t===void 0||e===void 0||
n===void 0||o===void 0?null:{left:t,bottom:e,right:n,top:o}},Mn=s=>$n(s.flatMap(t=>[t.start,t.end])),Ss=3,se=s=>Math.max(1,s.right-s.left)*Math.
max(1,s.top-s.bottom),Ce=(s,t,e)=>{let n=Me(t.bounds),o=e===null?null:Me(s.storeys.find(i=>i.id===e)?.bounds??null);if(o&&n&&s.storeys.length===
1){let i=$n([[o.left,o.bottom],[o.right,o.top],[n.left,n.bottom],[n.right,n.top]]);if(i&&se(i)<=Ss*se(o))return i}return o??n??Mn(s.walls)??
{left:0,bottom:0,right:480,top:360}},An=(s,t)=>{let[e,n]=[Me(t.bounds),Ce(s,t,s.storeys[0]?.id??null)];return e!==null&&(s.storeys.length>1||
se(e)>se(n)*1.01)},Pn=s=>Math.min(8,Math.max(3.4,Math.max(s.right-s.left,(s.top-s.bottom)*.8)/72)),Cn=(s,t)=>{let e=t*4;return{x:s.left-e,y:-s.
top-e,width:s.right-s.left+2*e,height:s.top-s.bottom+2*e}},N=(s,...t)=>{let e=b("g",{class:s});return e.append(...t),e},E=(s,t,e={})=>b("pat\
h",{class:s,d:t,...e}),On=(s,t)=>{let e=new Map(t.rows.map(n=>[n.name,n.used_as]));return N("drawn",...s.groups.map(({layer:n,lines:o})=>{let i=s.
layers[n]??"",r=e.get(i)??"ignore",a="",[d,c]=[Number.NaN,Number.NaN];for(let p=0;p+3<o.length;p+=4){let[f,m,y,k]=[o[p]??0,o[p+1]??0,o[p+2]??
0,o[p+3]??0];a+=f===d&&m===c?$e([y,k]):Pe([f,m])+$e([y,k]),[d,c]=[y,k]}return E(r==="ignore"?"left":"used",a,{"data-layer":i})}))},oe=s=>{let[
t,e]=[s.end[0]-s.start[0],s.end[1]-s.start[1]],n=Math.hypot(t,e)||1;return[t/n,e/n,n]},_=(s,t,e)=>{let[n,o]=oe(s);return[s.start[0]+n*t-o*e,
s.start[1]+o*t+n*e]},Oe=s=>{let[t,e]=[s.thickness/2,oe(s)[2]];return K([_(s,0,-t),_(s,e,-t),_(s,e,t),_(s,0,t)])},$s=s=>[(s.start[0]+s.end[0])/
2,(s.start[1]+s.end[1])/2],Wn=s=>{let t=Mn(s)??{left:0,bottom:0,right:0,top:0};return{x:t.left,y:-t.top,width:t.right-t.left,height:t.top-t.
bottom}},Ms=s=>{if(s.state==="removed")return"body removed";let t=s.exterior?"exterior":"interior",e=s.confidence<mt?" doubtful":"";return s.
state==="left-out"?`body left-out${e}`:`body ${t}${e}`},Wt=s=>s.how==="drawn-in"||s.edits.some(t=>t.list!=="layers"),Rn=(s,t)=>{let e=new Map,
[n,o,i]=["","",""],r=[];for(let d of s){let c=Ms(d);e.set(c,(e.get(c)??"")+Oe(d));let[,,p]=oe(d);d.state==="planned"&&d.bearing&&(n+=J([_(d,
0,0),_(d,p,0)]));let[f,m]=$s(d),y=t*.7;if(d.state==="removed")o+=J([[f-y,m-y],[f+y,m+y]])+J([[f-y,m+y],[f+y,m-y]]);else if(Wt(d)){let k=y*.75;
i+=K([[f-k,m],[f,m-k],[f+k,m],[f,m+k]])}else if(d.confidence<mt&&d.state==="planned"){let[k,M]=oe(d),U=Math.abs(M)>Math.abs(k),Q=d.thickness/
2+t*(U?1.6:.8),[tt,yt]=U?[f+Q,-m]:[f,-m-Q],V=b("text",{transform:`translate(${C(tt)} ${C(yt)})`});V.textContent=`${Math.round(d.confidence*100)}\
 %?`,r.push(V)}}let a=[...e].sort(([d],[c])=>d.length-c.length||(d<c?-1:1));return N("bodies",...a.map(([d,c])=>E(d,c)),E("bearing",n),E("cr\
ossed",o),E("by-hand",i),N("names",...r))},Hn=s=>{let[t,e]=["",""],n={door:"",window:"",opening:""};for(let o of s){if(o.state==="removed")continue;
let i=o.thickness/2;for(let{kind:r,from:a,to:d}of o.openings){e+=K([_(o,a,-i),_(o,d,-i),_(o,d,i),_(o,a,i)]);for(let p of[a,d])t+=J([_(o,p,-i),
_(o,p,i)]);let c=r==="window"?[-i*.3,i*.3]:[0];for(let p of c)n[r]+=J([_(o,a,p),_(o,d,p)])}}return N("openings",E("gap",e),E("jambs",t),E("d\
oor",n.door??""),E("window",n.window??""),E("passage",n.opening??""))},As={L:[[[-.4,.55],[-.4,-.5],[.5,-.5]]],T:[[[-.55,.45],[.55,.45]],[[0,
.45],[0,-.6]]],X:[[[-.5,-.5],[.5,.5]],[[-.5,.5],[.5,-.5]]],inline:[[[-.6,0],[.6,0]]],end:[[[-.55,0],[.3,0]],[[.3,.5],[.3,-.5]]],other:[[[0,-.6],
[0,.6]],[[-.52,-.3],[.52,.3]],[[-.52,.3],[.52,-.3]]]},Ae=([s,t],e)=>`M${C(s-e)} ${C(-t)}a${C(e)} ${C(e)} 0 1 0 ${C(2*e)} 0a${C(e)} ${C(e)} 0\
 1 0 ${C(-2*e)} 0z`,We=(s,[t,e],n)=>As[s].map(o=>J(o.map(([i,r])=>[t+i*n,e+r*n]))).join(""),_n=(s,t)=>{let[e,n,o]=["","",""];for(let i of s){
let r=t*(i.kind==="inline"?.5:1),a=Ae(i.at,r);i.tie==="none"||i.near_miss?n+=a:e+=a,o+=We(i.kind,i.at,r*.72)}return N("junctions",E("disc",e),
E("disc poor",n),E("sign",o))},Nn=(s,t)=>N("offers",...s.map(({from:e,to:n},o)=>{let i=t*.8,[r,a]=e,d=N("offer",E("reach",Ae([(r+n[0])/2,(a+
n[1])/2],Math.max(t*1.6,Math.hypot(n[0]-r,n[1]-a)))),E("way",J([e,n])),E("short",K([[r-i,a-i],[r+i,a-i],[r+i,a+i],[r-i,a+i]])),E("goal",Ae(n,
t*.3)));return d.dataset.offer=String(o),d})),Gn=(s,t)=>{let e="";for(let o of s)o.layer===t&&(e+=K(o.outline));let n=E("",e);return t==="up\
per"&&n.setAttribute("fill","url(#hatch-1)"),N(`${t} plates`,n)},Dn=s=>{let t=b("defs"),e=C(s*.6),n=b("pattern",{id:"hatch-1",patternUnits:"\
userSpaceOnUse",width:e,height:e,patternTransform:"rotate(35)"});return n.append(b("path",{class:"hatch",d:`M0 0V${C(s)}`,"stroke-width":C(s*
.15)})),t.append(n),t},Fn=(s,t)=>N("regions",...s.map(e=>{let[n,o,i,r]=e.bounds,a=b("text",{transform:`translate(${C(n+t)} ${C(-r+t)})`});return a.
textContent=String(e.number),N(e.planned?"region planned":"region",E("",K([[n,o],[i,o],[i,r],[n,r]])),a)})),Sn={error:0,warning:1,note:2},Ot=([
s,t],e,n)=>[s+n*Math.cos(e*Math.PI/180),t-n*Math.sin(e*Math.PI/180)],In=(s,t,e)=>K(s==="error"?[45,135,225,315].map(n=>Ot(t,n,e*1.3)):s==="w\
arning"?[-90,30,150].map(n=>Ot(t,n,e*1.75)):[...Array(16).keys()].map(n=>Ot(t,22.5*n,e))),Un=(s,t,e)=>{let n=new Map;s.forEach((i,r)=>{if(!i.
at||!e(i))return;let a=i.at.map(c=>Math.round(c)).join(" "),d=n.get(a)??{at:i.at,numbers:[],severity:i.severity};d.numbers.push(r),Sn[i.severity]<
Sn[d.severity]&&(d.severity=i.severity),n.set(a,d)});let o=new Set;return N("pins",...[...n.values()].map(({at:i,numbers:r,severity:a})=>{let d=Ps(
i,o,t),c=N(`pin ${a}`,E("lead",J([i,d])),E("spot",`${Pe(i)}h0`),E("head",In(a,d,t))),p=`${(r[0]??0)+1}${r.length>1?"+":""}`,[f,m]=ie(d),y=b(
"text",{transform:`translate(${C(f)} ${C(m)})`,class:p.length>2?"long":""});return y.textContent=p,c.append(y),c.dataset.findings=r.join(" "),
c}))},Ps=(s,t,e)=>{let n=e*2.6,o=([d,c],p,f)=>`${Math.round(d/n)+p} ${Math.round(c/n)+f}`,i=d=>[-1,0,1].every(c=>[-1,0,1].every(p=>!t.has(o(
d,c,p)))),a=[3,5,7].flatMap(d=>[-60,-120,60,120,0,180].map(c=>Ot(s,c,e*d))).find(i)??Ot(s,-60,e*3);return t.add(o(a,0,0)),a},gt=s=>{let t=b(
"svg",{class:"key wide",viewBox:"0 0 12 4","aria-hidden":"true"});return t.append(N("bodies",E(s,"M0 .6H12V3.4H0Z"))),t},re=(...s)=>{let t=b(
"svg",{class:"key",viewBox:"-2 -2 4 4","aria-hidden":"true"});return t.append(...s),t},z=s=>re(N(`pin ${s}`,E("head",In(s,[0,0],1.05))));var Vn=150,Os={layer:"by the name or the mapping of its layer",shape:"by its shape",class:"by its class in the file","drawn-in":"drawn in by\
 hand"},He=s=>JSON.stringify(s.ref??[s.start,s.end]),Re=s=>Math.hypot(s.end[0]-s.start[0],s.end[1]-s.start[1]),ae=class{root=l("section");chosen=[];drafting=!1;draftWall;onChoose=t=>{};onLook=t=>{};onDraft=t=>{};onShowPlace=t=>{};filter="\
look";work;sections;metric;constructor(t,e,n){[this.work,this.sections,this.metric]=[t,e,n],this.draftWall={section:Ws(t.plan.walls)??e[0]?.[0]??
"2x4",exterior:null,bearing:null,top:null},this.looks().length===0&&(this.filter="all"),this.draw()}looks(){return this.work.plan.walls.filter(
t=>t.state==="planned"&&t.confidence<mt&&!Wt(t))}draw(){let t=Pt(this.root);this.root.replaceChildren(l("h2","Walls"),this.drafting?this.draftForm():
this.chosenWalls(),...this.shortEnds(),...this.list()),Ct(this.root,t)}draftForm(){let t=this.draftWall;return u("picked",l("div",null,l("h3",
"The wall to draw"),l("p","Click its two ends on the plan, on the middle line of its framing. Points are pulled to ends and lines of walls, \
to the middle between two lines, and square."),u("controls",l("div",null,P("Section",this.sections,t.section,e=>t.section=e),P("Side",te,at(
t.exterior),e=>t.exterior=lt(e)),P("Bearing",ee,at(t.bearing),e=>t.bearing=lt(e)),q("Top above floor",t.top===null?"":Y(t.top),"as the setti\
ngs say",e=>{let n=ne(e);return"wrong"in n?n.wrong:(t.top=n.top,null)}))),g("Stop drawing",()=>this.onDraft(!1))))}chosenWalls(){let{chosen:t}=this,
[e]=t;if(!e)return u("picked none",l("div",null,l("p","Click a wall in the plan, or choose one below. Shift adds to the choice."),g("Draw a \
missing wall",()=>this.onDraft(!0))));let n=t.length===1?Rt(e):$(t.length,"wall"),o=u("picked",l("div",null,l("h3",n))),i=l("dl"),r=this.metric();
t.length===1?(T(i,"Length",l("strong",I(Re(e),r))),T(i,"Drawn",`${I(e.thickness,r)} thick`),T(i,"Found",Os[e.how]),T(i,"Confidence",it(e.confidence),
e.confidence<mt?": worth a look":""),T(i,"State",jn(e)),e.plan_walls.length>0&&T(i,"In the plan",`${e.plan_walls.join(", ")}${e.runs.length>
0?`, in ${e.runs.join(", ")}`:""}`),e.source.slice(0,3).forEach((d,c)=>T(i,c===0?"Drawn as":"",l("code",d.entity)," on ",x(d.layer))),e.source.
length>3&&T(i,"",`and ${e.source.length-3} more`)):T(i,"Together",l("strong",I(t.reduce((d,c)=>d+Re(c),0),r))),o.append(i);let a=t.filter(d=>d.
state==="removed");return a.length<t.length&&o.append(this.controls(t.filter(d=>d.state!=="removed"))),o.append(this.actions(a)),o}controls(t){
let e=(m,y)=>this.work.edit(m,k=>t.reduce((M,U)=>yn(M,U,y),k)),n=m=>{let[y,...k]=t.map(m);return k.every(M=>M===y)?y:void 0},o=(m,y)=>y===void 0?
[[["mixed","several"],...m],"mixed"]:[m,y],[i,r,a]=[n(m=>m.section),n(m=>at(m.exterior_said)),n(m=>at(m.bearing))],c=i===void 0||this.sections.
some(([m])=>m===i)?this.sections:[...this.sections,[i,i]],p=n(m=>m.top),f=[P("Side",...o(te,r),m=>m!=="mixed"&&e("side of a wall",{exterior:lt(
m)})),P("Bearing",...o(ee,a),m=>m!=="mixed"&&e("bearing of a wall",{bearing:lt(m)})),P("Section",...o(c,i),m=>m!=="mixed"&&e("section of a w\
all",{section:m})),q("Top above floor",p===void 0?"":Y(p),p===void 0?"several":"as drawn",m=>{let y=ne(m);return"wrong"in y?y.wrong:(e("heig\
ht of a wall",{top:y.top}),null)})];return f.forEach((m,y)=>{let k=m.querySelector("select, input");k&&(k.dataset.key=`wall ${y}`)}),u("cont\
rols",l("div",null,...f))}actions(t){let{chosen:e}=this,n=u("actions",l("div"));t.length>0&&n.append(g(t.length===1?"Put the wall back":"Put\
 the walls back",()=>this.work.edit("wall put back",i=>t.reduce((r,a)=>xn(r,a),i)))),t.length<e.length&&n.append(g(e.length===1?"Remove the \
wall":"Remove the walls",()=>this.remove()));let o=e.filter(i=>i.ref!==null&&i.edits.some(r=>r.list!=="layers"));return o.length>0&&n.append(
g("As drawn",()=>this.work.edit("edits of a wall taken back",i=>o.reduce((r,a)=>bn(r,a),i)),"quiet")),n.append(g("Draw a missing wall",()=>this.
onDraft(!0)),g("Let go",()=>this.onChoose([]),"quiet")),n}remove(){let t=this.chosen.filter(e=>e.state!=="removed");t.length>0&&this.work.edit(
t.length===1?"wall removed":"walls removed",e=>t.reduce((n,o)=>vn(n,o),e))}shortEnds(){let{near_misses:t}=this.work.plan;if(t.length===0)return[];
let e=t.slice(0,Vn).map((o,i)=>{let r=l("li",null,`${this.name(o.wall)} stops ${I(o.gap_in,this.metric())} short of ${this.name(o.other)} `,
g("Show",()=>this.onShowPlace(o),"quiet")," ",g("Close the gap",()=>this.accept([o])));return r.querySelectorAll("button").forEach((a,d)=>{a.
dataset.key=`miss ${i} ${d}`,a.setAttribute("aria-label",`${a.textContent}: ${this.name(o.wall)} and ${this.name(o.other)}`)}),r}),n=[l("h3",
"Ends that stop short"),u("misses",l("ul",null,...e))];return t.length>1&&n.push(g(`Close all ${t.length} gaps`,()=>this.accept(t))),n}accept(t){
this.work.edit(t.length===1?"gap closed":"gaps closed",e=>t.reduce((n,o)=>En(n,o.snap),e))}name(t){let e=this.work.plan.walls.find(n=>n.id===
t);return e?Rt(e):t}list(){let t=this.work.plan.walls,e={look:this.looks(),hand:t.filter(c=>Wt(c)&&c.state!=="removed"),out:t.filter(c=>c.state!==
"planned"),all:t},n=e[this.filter],o=P("List",[["look",`worth a look (${e.look.length})`],["hand",`changed by hand (${e.hand.length})`],["ou\
t",`left out or removed (${e.out.length})`],["all",`all (${t.length})`]],this.filter,c=>{this.filter=c,this.draw()}),i=o.querySelector("sele\
ct");i&&(i.dataset.key="filter");let r=new Set(this.chosen),a=n.slice(0,Vn).map((c,p)=>{let f=g("",()=>this.onChoose([c]),"wall-row"),m=[I(Re(
c),this.metric()),c.section,c.exterior?"exterior":"interior",c.confidence<mt?`${it(c.confidence)}?`:"",c.state==="planned"?"":jn(c)];return f.
append(l("b",Rt(c)),` ${m.filter(y=>y!=="").join(", ")}`),f.setAttribute("aria-pressed",String(r.has(c))),f.dataset.key=`row ${p}`,f.addEventListener(
"pointerenter",()=>this.onLook([c])),f.addEventListener("pointerleave",()=>this.onLook([])),l("li",null,f)}),d=n.length-a.length;return[o,u(
"wall-list",l("ul",null,...a)),...a.length===0?[l("p","None.")]:[],...d>0?[l("p",`and ${d} more: click them in the plan.`)]:[]]}},Rt=s=>{let[
t,...e]=s.plan_walls;return t===void 0?s.id:e.length<3?[t,...e].join(", "):`${t} and ${e.length} more`},jn=s=>s.state==="removed"?"removed b\
y hand":s.state==="left-out"?"left out of the plan":Wt(s)?"planned, changed by hand":"planned",Ws=s=>{let t=new Map;for(let{section:e,exterior:n}of s)
n||t.set(e,(t.get(e)??0)+1);return[...t].sort((e,n)=>n[1]-e[1]||(e[0]<n[0]?-1:1))[0]?.[0]??null};var Ht=200,le=class{root=l("section");at=null;onShow=(t,e)=>{};onWalls=t=>{};onAccept=t=>{};onTicked=()=>{};work;metric;onlyNew=!1;open=null;codes=null;constructor(t,e){
[this.work,this.metric]=[t,e],this.draw()}get all(){return this.work.plan.findings}get order(){return[...this.all.keys()].filter(t=>!this.onlyNew||
t===this.at||!this.all[t]?.looked_at)}step(t){let{order:e}=this;if(e.length===0)return;let n=this.at===null?t>0?-1:0:e.indexOf(this.at),o=e[(n+
t+e.length)%e.length];o!==void 0&&this.show(o,!0)}show(t,e){this.at=t,this.open=this.all[t]?.key??null,this.draw(),this.onShow(t,e)}follow(){
let t=this.open===null?-1:this.all.findIndex(e=>e.key===this.open);this.at=t<0?null:t,this.draw()}draw(){let t=Pt(this.root),e=this.all.filter(
o=>!o.looked_at).length,n=this.all.length===0?"None: nothing to look at.":e===0?`${$(this.all.length,"finding")}, all ticked off.`:`${$(this.
all.length,"finding")}, ${e} not ticked off yet.`;this.root.replaceChildren(l("h2","Findings"),l("p",n)),this.all.length>0&&this.root.append(
this.walk(),...this.one(),this.list()),Ct(this.root,t)}walk(){let t=this.at===null?-1:this.order.indexOf(this.at),[e,n]=[g("Previous",()=>this.
step(-1)),g("Next",()=>this.step(1))];[e.dataset.key,n.dataset.key]=["previous","next"];let o=st("only those not ticked off",this.onlyNew,r=>{
this.onlyNew=r,this.draw()});o.firstElementChild.dataset.key="only";let i=l("span",t<0?"":`${t+1} of ${this.order.length}`);return u("walk",
l("div",null,e,n,i,o))}one(){let t=this.at===null?null:this.all[this.at];if(!t||this.at===null)return[];let e=l("h3",null,z(t.severity),` ${this.
at+1} ${t.severity}: ${t.title} `,l("code",t.code)),n=l("dl");if(T(n,"What to do",x(t.what_to_do)),t.at){let[d,c]=t.at,p=g("Show the place",
()=>this.at!==null&&this.onShow(this.at,!0),"quiet");p.dataset.key="place",T(n,"Where",`${I(d,this.metric())} across, ${I(c,this.metric())} \
up `,p)}let o=this.work.plan.walls.filter(d=>t.walls.includes(d.id));o.length>0&&T(n,"Walls",...o.slice(0,8).flatMap((d,c)=>[c===0?"":" ",g(
Rt(d),()=>this.onWalls([d]),"quiet")])),t.source.slice(0,4).forEach((d,c)=>T(n,c===0?"Drawn as":"",l("code",d.entity)," on ",x(d.layer))),t.
source.length>4&&T(n,"",`and ${t.source.length-4} more`);let i=u(`finding ${t.severity}`,l("article",null,e,l("p",null,x(t.message)),n)),r=this.
work.plan.near_misses.filter(d=>t.at&&Math.hypot(d.from[0]-t.at[0],d.from[1]-t.at[1])<.5);r.length>0&&i.append(g("Close the gap",()=>this.onAccept(
r)));let a=l("details",null,l("summary","Why"));return a.addEventListener("toggle",()=>a.open&&void this.explain(a,t.code)),i.append(a,this.
tick(t)),[i]}tick(t){let e=st("Looked at",t.looked_at,n=>{t.looked_at=n,Qe(this.work.job.id,t.key,n).then(()=>{this.draw(),this.onTicked()},
o=>{t.looked_at=!n,this.draw(),this.work.onTrouble(L(o))})});return e.firstElementChild.dataset.key="ticked",e}async explain(t,e){if(!(t.children.
length>1))try{this.codes??=await Ke();let n=this.codes.codes.find(o=>o.code===e);t.append(l("p",n?.meaning??"Nothing more is known of it.")),
n&&t.append(u("rule",l("p",null,l("b","Rule: "),n.rule)))}catch(n){t.append(l("p",L(n).message))}}list(){let{order:t}=this,e=Math.max(0,Math.
min((this.at===null?0:t.indexOf(this.at))-Ht/2,t.length-Ht)),n=t.slice(e,e+Ht).map(i=>{let r=this.all[i],a=g("",()=>this.show(i,!0),"finding\
-row");return r&&(a.append(z(r.severity),u("spoken",l("span",`${r.severity} `)),l("b",` ${i+1} `),r.title,r.looked_at?" \u2713":""),a.setAttribute(
"aria-pressed",String(i===this.at))),a.dataset.key=`f ${i}`,l("li",null,a)}),o=u("finding-list",l("ol",null,...n));return t.length>Ht?l("div",
null,o,l("p",`${Ht} of ${t.length} listed, about the one that is shown.`)):o}};var Rs=[["L","corner"],["T","tee"],["X","crossing"],["inline","in line"],["end","free end"],["other","other junction"]],Hs=s=>{let t=b("g",{
class:"junctions"});return t.append(b("circle",{class:"disc",r:1.5}),b("path",{class:"sign",d:We(s,[0,0],1.1)})),re(t)},Bn=(s,t,e)=>{let n=b(
"g",{class:s});return n.append(b("path",{class:t,d:e})),re(n)},Jn=()=>{let s=(r,a)=>l("li",null,r,a),t=b("svg",{class:"key wide",viewBox:"0 \
0 12 4","aria-hidden":"true"}),e=b("g",{class:"bodies"});e.append(b("path",{class:"body interior",d:"M0 .6H12V3.4H0Z"}),b("path",{class:"bea\
ring",d:"M0 2H12"})),t.append(e);let n=u("legend",l("ul",null,s(gt("body exterior"),"exterior wall"),s(gt("body interior"),"interior wall"),
s(t,"bearing"),s(gt("body interior doubtful"),"worth a look, with its confidence"),s(gt("body left-out"),"left out of the plan"),s(gt("body \
removed"),"removed by hand"),s(Bn("bodies","by-hand","M-1.2 0L0 -1.2L1.2 0L0 1.2Z"),"changed or drawn by hand"),...Rs.map(([r,a])=>s(Hs(r),a)),
s(Bn("offers","short","M-1.2 -1.2H1.2V1.2H-1.2Z"),"end that stops short; click to close the gap"),s(z("error"),"error"),s(z("warning"),"warn\
ing"),s(z("note"),"note"))),o=l("p",null,"Drag to move, wheel or pinch to zoom, click a wall to change it, Shift-click for more than one. Ke\
ys, with the plan in focus: ");for(let[r,a]of[["+",""],["\u2212","zoom"],["0","whole plan"],["W","next wall (Shift: the one before)"],["N",""],
["P","next and previous finding"],["D","draw a wall"],["Del","remove the wall"],["Esc","let go"]])o.append(l("kbd",r),a===""?" ":` ${a}, `);
o.append("Ctrl+Z and Ctrl+Y undo and redo. While drawing: arrows move the cross by a foot (Shift: an inch), ",l("kbd","E")," takes it to the\
 next end of a wall, ",l("kbd","Enter")," puts a point."),o.id="keys";let i=l("details",null,l("summary","Signs and keys"),n,o);return u("ho\
w",i)};var _e=5.5,_t=1.5,_s=140,Ns=2.2,de=class{svg;stage;world;left=0;top=0;width=1;height=1;middle=[.5,.5];letter=1;now={k:1,x:0,y:0};painted=null;most=1;wide=0;high=0;waiting=!1;rest=0;onPaint=()=>{};constructor(t){
if(this.svg=t,!t.parentElement)throw new Error("a plan stands in its stage");this.stage=t.parentElement,this.world=ut(t,".world"),this.frame(),
new ResizeObserver(()=>{let[e,n]=[this.stage.clientWidth,this.stage.clientHeight];e===0||n===0||t.clientWidth===0||([this.wide,this.high]=[e,
n],this.paint())}).observe(t)}frame(){let[t=0,e=0,n=1,o=1]=(this.svg.getAttribute("viewBox")??"").split(" ").map(Number);[this.left,this.top,
this.width,this.height]=[t,e,n,o],this.middle=[t+n/2,e+o/2],this.letter=Number(this.svg.getAttribute("font-size")),this.most=Math.max(12,n/60),
this.now={k:1,x:0,y:0},this.wide>0&&this.paint()}get inch(){return Math.max(this.width/(this.wide||1),this.height/(this.high||1))}at(t,e){let n=this.
stage.getBoundingClientRect(),[o,i]=this.middle;return[o+(t-n.left-n.width/2)*this.inch,i+(e-n.top-n.height/2)*this.inch]}seen(t,e){let[n,o]=this.
at(t,e);return[(n-this.now.x)/this.now.k,(o-this.now.y)/this.now.k]}get pixel(){return this.inch/this.now.k}get isWhole(){return this.now.k===
1}zoom(t,[e,n]=this.middle){let{k:o,x:i,y:r}=this.now,a=Math.min(this.most,Math.max(1,o*t)),d=a/o;this.move({k:a,x:e-(e-i)*d,y:n-(n-r)*d})}pan(t,e){
let{k:n,x:o,y:i}=this.now;this.move({k:n,x:o+t*this.inch,y:i+e*this.inch})}whole(){this.move({k:1,x:0,y:0})}show(t){let{k:e,x:n,y:o}=this.now,
i=this.inch,[r,a]=this.middle,[d,c]=[this.wide*i/2,this.high*i/2],p=(tt,yt,V,dt,ct)=>Math.abs(e*tt+V-dt)<ct*.9&&Math.abs(e*(tt+yt)+V-dt)<ct*
.9;if(p(t.x,t.width,n,r,d)&&p(t.y,t.height,o,a,c)&&this.letter*e/i>=_e*1.6)return;let m=Math.max(t.width,t.height,this.letter*20),y=Math.min(
d,c)*2/m/1.6,k=_e*2*i/this.letter,M=Math.min(this.most,Math.max(1,Math.min(y,Math.max(k,e)))),[U,Q]=[t.x+t.width/2,t.y+t.height/2];this.move(
{k:M,x:r-U*M,y:a-Q*M})}move({k:t,x:e,y:n}){if(t<=1.0001)this.now={k:1,x:0,y:0};else{let o=(i,r,a)=>{let d=r+a/2;return Math.min(d-r*t,Math.max(
d-(r+a)*t,i))};this.now={k:t,x:o(e,this.left,this.width),y:o(n,this.top,this.height)}}clearTimeout(this.rest),this.rest=window.setTimeout(()=>this.
paint(),_s),!this.waiting&&(this.waiting=!0,requestAnimationFrame(()=>{this.waiting=!1,this.shift()}))}shift(){let[t,e]=[this.now,this.painted];
if(!e)return this.paint();let[n,o]=this.middle,i=t.k/e.k,r=(t.x-n-i*(e.x-n))/this.inch,a=(t.y-o-i*(e.y-o))/this.inch,d=(c,p)=>Math.abs(c)+p/
2<=p*_t*i/2+1;if(i>Ns||!d(r,this.wide)||!d(a,this.high))return this.paint();this.svg.style.transform=`translate(${r}px, ${a}px) scale(${i})`}paint(){
clearTimeout(this.rest);let{k:t,x:e,y:n}=this.now,[o,i]=this.middle;this.svg.style.transform="",this.painted!==this.now&&this.world.setAttribute(
"transform",`matrix(${t/_t} 0 0 ${t/_t} ${o+(e-o)/_t} ${i+(n-i)/_t})`),this.painted=this.now,this.svg.classList.toggle("far",this.letter*t/this.
inch<_e),this.svg.classList.toggle("zoomed",!this.isWhole),this.onPaint()}};var Ne=[["drawn","Linework",!0],["bodies","Walls",!0],["junctions","Junctions",!0],["offers","Short ends",!0],["lower","Lower plates",!1],["\
upper","Upper plates",!1],["pins","Findings",!0]],Kn=["regions","drawn","bodies","openings","lower","upper","junctions","offers","lit","pins",
"draft"],Gs=9,Ge=s=>s.storeys.map(({id:e})=>({id:e,walls:s.walls.filter(n=>n.storey===e).length})).sort((e,n)=>n.walls-e.walls)[0]?.id??null,
De=s=>{let t=new Map([...s.walls,...s.runs,...s.junctions,...s.pieces].map(e=>[e.id,e.storey]));return({walls:e,subject:n})=>t.get(e[0]??"")??
t.get(n)??null},ce=class{root;svg;camera;storey;letter=4;work;groups;halos;defs=b("defs");constructor(t){this.work=t,this.storey=Ge(t.plan),
this.svg=b("svg",{class:"plan",tabindex:0,role:"application"});let e=b("g",{class:"world"});this.groups=Object.fromEntries(Kn.map(n=>[n,b("g",
{class:n})])),e.append(...Kn.map(n=>this.groups[n])),this.halos={under:b("path",{class:"halo under"}),held:b("path",{class:"halo held"})},this.
groups.lit.append(this.halos.held,this.halos.under),this.svg.append(this.defs,e),this.root=l("div"),this.root.className="stage",this.root.append(
this.svg),t.drawing.groups.length===0&&t.plan.walls.length===0&&this.root.append(u("nothing",l("p","There is nothing to draw: no lines and n\
o walls were read.")));for(let[n,,o]of Ne)this.root.classList.toggle(`no-${n}`,!o);this.frame(),this.camera=new de(this.svg),ln(this.camera),
this.redraw()}show(t,e){this.root.classList.toggle(`no-${t}`,!e),e&&(t==="lower"||t==="upper")&&this.drawPlan()}turnTo(t){this.storey=t,this.
frame(),this.camera.frame(),this.redraw()}redraw(){this.drawLines(),this.drawPlan()}drawLines(){let{drawing:t,reading:e}=this.work;this.put(
"drawn",On(t,e)),this.put("regions",Fn(this.storey===null?e.regions:[],this.letter))}drawPlan(){let{plan:t}=this.work,e=r=>this.storey===null?
r:r.filter(a=>a.storey===this.storey),n=e(t.walls),o=new Set(n.map(r=>r.id));this.put("bodies",Rn(n,this.letter)),this.put("openings",Hn(n)),
this.put("junctions",_n(e(t.junctions),this.letter)),this.put("offers",Nn(t.near_misses,this.letter)),t.near_misses.forEach((r,a)=>{this.groups.
offers.children[0]?.children[a]?.classList.toggle("away",!o.has(r.wall))});for(let r of["lower","upper"]){let a=!this.root.classList.contains(
`no-${r}`);this.put(r,Gn(a?e(t.pieces):[],r))}let i=De(t);this.put("pins",Un(t.findings,this.letter,r=>{let a=i(r);return a===null||this.storey===
null||a===this.storey}))}put(t,e){this.groups[t].replaceChildren(e)}draft(...t){this.groups.draft.replaceChildren(...t)}frame(){let t=Ce(this.
work.plan,this.work.drawing,this.storey);this.letter=Pn(t);let{x:e,y:n,width:o,height:i}=Cn(t,this.letter);this.svg.setAttribute("viewBox",[
e,n,o,i].map(a=>Math.round(a*100)/100).join(" ")),this.svg.setAttribute("font-size",String(this.letter));let r=Dn(this.letter);this.defs.replaceWith(
r),this.defs=r}bring(t,e){e!==null&&this.storey!==null&&e!==this.storey&&this.turnTo(e),requestAnimationFrame(()=>this.camera.show(t))}placeAt(t,e){
let[n,o]=this.camera.seen(t,e);return[n,-o]}pick(t){let e=je(t),n=e?.closest(".pin");if(n)return{findings:(n.dataset.findings??"").split(" ").
map(Number)};let o=e?.closest(".offer");if(o)return{offer:Number(o.dataset.offer)};let i=this.wallAt(this.placeAt(t.clientX,t.clientY));if(i)
return{wall:i};let r=e?.closest(".drawn path");return r?.dataset.layer===void 0?null:{layer:r.dataset.layer}}wallAt([t,e]){let n=Gs*this.camera.
pixel,[o,i]=[null,Number.POSITIVE_INFINITY];for(let r of this.work.plan.walls){if(this.storey!==null&&r.storey!==this.storey)continue;let[a,
d]=[r.end[0]-r.start[0],r.end[1]-r.start[1]],c=a*a+d*d||1,p=Math.min(1,Math.max(0,((t-r.start[0])*a+(e-r.start[1])*d)/c)),f=Math.hypot(t-r.start[0]-
a*p,e-r.start[1]-d*p);f<=Math.max(n,r.thickness/2)&&f<i&&([o,i]=[r,f])}return o}light(t,e){let n=this.halos[t];e.length===0?n.removeAttribute(
"d"):n.setAttribute("d",e.map(Oe).join(""))}lightLayer(t){for(let e of this.groups.drawn.querySelectorAll("path"))e.classList.toggle("held",
t!==null&&e.dataset.layer===t)}lightFinding(t){for(let e of this.groups.pins.querySelectorAll(".pin"))e.classList.toggle("held",t!==null&&(e.
dataset.findings??"").split(" ").includes(String(t)))}};var he=class{root=l("div");now="";onTurn=t=>{};tabs=new Map;constructor(t,e){let n=u("tabs",l("div"));n.setAttribute("role","tablist"),n.setAttribute(
"aria-label",t),this.root.append(n);for(let[o,i,r]of e){let a=l("button",i);a.type="button",a.id=`tab-${o}`,a.setAttribute("role","tab"),a.setAttribute(
"aria-controls",`page-${o}`),a.addEventListener("click",()=>this.turn(o)),r.id=`page-${o}`,r.tabIndex=0,r.setAttribute("role","tabpanel"),r.
setAttribute("aria-labelledby",a.id),n.append(a),this.root.append(r),this.tabs.set(o,{tab:a,page:r,words:i})}n.addEventListener("keydown",o=>{
let i=[...this.tabs.keys()],r=i.findIndex(c=>this.tabs.get(c)?.tab===document.activeElement),a={ArrowRight:r+1,ArrowLeft:r-1,Home:0,End:i.length-
1}[o.key],d=a===void 0?void 0:i[(a+i.length)%i.length];d!==void 0&&(o.preventDefault(),this.turn(d),this.tabs.get(d)?.tab.focus())})}turn(t){
let e=t!==this.now;this.now=t;for(let[n,{tab:o,page:i}]of this.tabs)o.setAttribute("aria-selected",String(n===t)),o.tabIndex=n===t?0:-1,i.hidden=
n!==t;e&&this.onTurn(t)}count(t,e){let n=this.tabs.get(t);n&&(n.tab.replaceChildren(n.words),e>0&&n.tab.append(" ",u("number",l("span",String(
e)))))}};var Ds=["mm","cm","m"],zn=(s,t,e,n)=>{let o=u("office-desk",l("div")),i=()=>Ds.includes(s.reading.units?.name??s.plan.frame.unit??""),r=t.sections.
map(h=>[h.name,`${h.name}, ${ot(h.width_in,h.name.length>4)} wide`]),a=new ce(s),d=new qt,c=new Yt(a,d,i),p=new Qt(s,r),f=new ae(s,r,i),m=new le(
s,i),y=new Zt(s,t.papers.map(h=>[h,h==="a4"?"A4":h])),k=new zt(s);k.onRevision=n;let M=new he("Work on the drawing",[["layers","Layers",p.root],
["walls","Walls",f.root],["findings","Findings",m.root],["files","Files",y.root],["revisions","Revisions",k.root]]);M.onTurn=h=>{h==="files"&&
y.load(),h==="revisions"&&k.load(),h!=="walls"&&c.on&&kt(!1)};let U=u("verdict",l("p")),Q=u("source",l("p")),tt=u("figures-line",l("p")),yt=u(
"desk-head",l("header",null,l("p",null,H("\u2190 All drawings","#/")),l("h1",null,x(s.job.file)),Q,U,tt)),V=g("Undo",()=>s.undo()),dt=g("Red\
o",()=>s.redo()),ct=g("Draw a wall",()=>kt(!c.on));ct.setAttribute("aria-pressed","false");let vt=u("zoom",l("div",null,g("\u2212",()=>a.camera.
zoom(1/1.5)),g("+",()=>a.camera.zoom(1.5)),g("Whole",()=>a.camera.whole())));vt.setAttribute("role","group"),vt.setAttribute("aria-label","Z\
oom"),vt.children[0]?.setAttribute("aria-label","Zoom out"),vt.children[1]?.setAttribute("aria-label","Zoom in");let we=u("edits",l("div",null,
ct,V,dt));we.setAttribute("role","group"),we.setAttribute("aria-label","Edit");let ts=u("layers",l("fieldset",null,l("legend","Show"),...Ne.
map(([h,w,v])=>{let S=st(w,v,A=>a.show(h,A));return S.firstElementChild.value=h,S}))),bt=u("storeys",l("div")),es=u("tools",l("div",null,we,
bt,vt,ts)),et=u("status",l("p"));et.setAttribute("role","status"),a.root.append(et),a.svg.setAttribute("aria-label",`Plan of ${s.job.file}`),
a.svg.setAttribute("aria-describedby","keys");let ns=u("viewer",l("div",null,es,a.root,Jn())),ss=u("panel",l("div",null,M.root));o.append(yt,
u("caution",l("p","An aid, not a design: local code, the stamped drawings and the building official decide. Brace walls until they are tied;\
 never walk on plates; keep guards on saws.")),u("desk",l("div",null,ns,ss)));let xt=h=>{et.textContent=h,et.classList.remove("bad")},Ve=()=>{
let{plan:h}=s,w=An(h,s.drawing),v=[...h.storeys.map(A=>[A.id,A.name]),...w?[["","whole sheet"]]:[]];v.some(([A])=>A===(a.storey??""))||a.turnTo(
Ge(h));let S=JSON.stringify([v,a.storey]);bt.dataset.now!==S&&(bt.dataset.now=S,bt.replaceChildren(...v.length>1?[P("Storey",v,a.storey??"",
A=>{a.turnTo(A===""?null:A),bt.dataset.now=JSON.stringify([v,a.storey]),a.light("held",f.chosen),d.takeWalls(s.plan,a.storey)})]:[]))},Dt=()=>{
let{plan:h,reading:w}=s,{error:v,warning:S,note:A}=h.tally,Et=w.units===null?"The unit of the drawing is not known: choose it under Layers.":
`Read in ${At[w.units.name]??w.units.name}; Layers tells how that was decided.`;Q.textContent=`${(w.format??"").toUpperCase()} ${w.version}.\
 ${Et}`.trim(),U.className=`verdict ${v>0||!h.planned?"error":S>0?"warning":"good"}`,U.textContent=h.planned?v>0?`Planned, with ${$(v,"error")}\
 to settle first.`:S>0?`Planned. ${$(S,"warning")} to look at.`:"Planned; nothing is doubtful.":"There is no plan. See Findings for the reas\
ons.";let pt=h.walls.filter(F=>F.state==="planned"&&F.confidence<.75).length;tt.textContent=[$(h.walls.filter(F=>F.state==="planned").length,
"wall"),pt>0?`${pt} worth a look`:"",$(h.junctions.length,"junction"),$(h.pieces.length,"piece"),$(A,"note"),h.ledger.entities_read===0?"":`${h.
ledger.used} of ${h.ledger.entities_read} entities used (${it(h.ledger.used/Math.max(1,h.ledger.entities_read))})`].filter(F=>F!=="").join("\
 \xB7 "),M.count("findings",h.findings.filter(F=>!F.looked_at).length),V.disabled=s.canUndo===null,dt.disabled=s.canRedo===null,V.title=s.canUndo===
null?"":`Undo: ${s.canUndo}`,dt.title=s.canRedo===null?"":`Redo: ${s.canRedo}`},ht=(h,w=!0)=>{f.chosen=h,f.draw(),a.light("held",h),w&&h.length>
0&&M.turn("walls");let[v]=h;xt(v===void 0?"":h.length>1?$(h.length,"wall")+" chosen":`${I(Math.hypot(v.end[0]-v.start[0],v.end[1]-v.start[1]),
i())}, ${v.section}, ${v.exterior?"exterior":"interior"}`)},ye=h=>{ht(h);let[w]=h;w&&a.bring(Wn(h),w.storey)},kt=h=>{h&&(d.takeWalls(s.plan,
a.storey),ht([],!1)),f.drafting=h,ct.setAttribute("aria-pressed",String(h)),c.turn(h),h?M.turn("walls"):xt(""),f.draw(),h&&a.svg.focus({preventScroll:!0})};
f.onChoose=ye,f.onLook=h=>a.light("under",h),f.onDraft=kt,f.onShowPlace=h=>{let w=s.plan.walls.find(A=>A.id===h.wall),[v,S]=ie(h.from);a.bring(
{x:v,y:S,width:1,height:1},w?.storey??null)},p.onLook=h=>a.lightLayer(h),m.onAccept=h=>f.accept(h),m.onWalls=ye,m.onTicked=Dt,m.onShow=(h,w)=>{
let v=s.plan.findings[h];if(a.lightFinding(h),!v)return;let S=s.plan.walls.filter(pt=>v.walls.includes(pt.id));if(a.light("under",S),!w||!v.
at)return;let[A,Et]=ie(v.at);a.bring({x:A-12,y:Et-12,width:24,height:24},De(s.plan)(v))},c.onTold=xt,c.onLeave=()=>kt(!1),c.onWall=(h,w)=>{let{
section:v,exterior:S,bearing:A,top:Et}=f.draftWall,pt=s.plan.storeys.length>1?s.plan.storeys.find(Tt=>Tt.id===a.storey)?.name??null:null,F=([
Tt,rs])=>[Math.round(Tt*1024)/1024,Math.round(rs*1024)/1024],is={storey:pt,start:F(h),end:F(w),section:v,exterior:S,bearing:A,top:Et};s.edit(
"wall drawn",Tt=>kn(Tt,is))},a.root.addEventListener("pointermove",h=>{if(c.on||h.pointerType==="touch"||a.svg.classList.contains("moving"))
return;let w=a.pick(h);a.light("under",w&&"wall"in w?[w.wall]:[])}),a.root.addEventListener("pointerleave",()=>a.light("under",[])),a.root.addEventListener(
"click",h=>{if(c.on)return c.click(h);if(Jt())return;let w=a.pick(h);if(!w)return ht([],!1);if("wall"in w){let{wall:v}=w,S=f.chosen.filter(A=>A!==
v);return ht(h.shiftKey?S.length<f.chosen.length?S:[...S,v]:[v])}if("findings"in w){let[v]=w.findings;M.turn("findings"),v!==void 0&&m.show(
v,!1)}else if("offer"in w){let v=s.plan.near_misses[w.offer];v&&f.accept([v])}else ht([],!1),xt(`Line of the drawing, on layer ${w.layer}`)});
let os=h=>{let w=s.plan.walls.filter(A=>a.storey===null||A.storey===a.storey),v=f.chosen[0]?w.indexOf(f.chosen[0]):h>0?-1:0,S=w[(v+h+w.length)%
w.length];S&&ye([S])};return a.svg.addEventListener("keydown",h=>{if(h.ctrlKey||h.metaKey||h.altKey||c.on)return;let w={n:()=>m.step(1),p:()=>m.
step(-1),w:()=>os(h.shiftKey?-1:1),d:()=>kt(!0),delete:()=>f.remove(),backspace:()=>f.remove(),escape:()=>ht([],!1)}[h.key.toLowerCase()];w&&
(h.preventDefault(),(h.key.toLowerCase()==="n"||h.key.toLowerCase()==="p")&&M.turn("findings"),w())}),o.addEventListener("keydown",h=>{if(!(h.
ctrlKey||h.metaKey)||h.altKey||h.target instanceof HTMLInputElement&&h.target.type==="text")return;let w=h.key.toLowerCase();if(w==="z")h.shiftKey?
s.redo():s.undo();else if(w==="y")s.redo();else return;h.preventDefault()}),s.onBusy=h=>o.setAttribute("aria-busy",String(h)),s.onPlan=()=>{
let h=new Set(f.chosen.map(He));f.chosen=s.plan.walls.filter(w=>h.has(He(w))),Ve(),a.drawPlan(),a.light("held",f.chosen),a.light("under",[]),
d.takeWalls(s.plan,a.storey),f.draw(),m.follow(),a.lightFinding(m.at),Dt(),y.isShown&&(y.draw(),M.now==="files"&&y.load())},s.onReading=()=>{
p.draw(),a.drawLines(),Dt()},s.onDrawing=()=>{d.takeDrawing(s.drawing),a.turnTo(a.storey)},s.onDone=(h,w)=>{xt(`${h[0]?.toUpperCase()??""}${h.
slice(1)}. Planned again in ${Math.round(w)} ms.`),e(et.textContent??"")},s.onTrouble=h=>{et.replaceChildren(R(h)),et.classList.add("bad")},
d.takeDrawing(s.drawing),d.takeWalls(s.plan,a.storey),Ve(),Dt(),M.turn(!s.plan.planned||s.reading.units===null?"layers":s.plan.tally.error>0?
"findings":"layers"),o};var Nt=class{list;keyOf;said;make;made=new Map;constructor(t,e,n,o){[this.list,this.keyOf,this.said,this.make]=[t,e,n,o]}show(t){let e=new Map;
for(let n of t){let[o,i]=[this.keyOf(n),this.said(n)],r=this.made.get(o);e.set(o,r?.said===i?r:{said:i,row:this.make(n)})}for(let[n,{row:o}]of this.
made){let i=e.get(n)?.row;i?i!==o&&o.replaceWith(i):o.remove()}this.made=e,[...e.values()].forEach(({row:n},o)=>{this.list.children[o]!==n&&
this.list.insertBefore(n,this.list.children[o]??null)})}row(t){return this.made.get(t)?.row}};var Fs=8,Is=["too-large","wrong-type","empty"],Us={waiting:"waits its turn",working:"being planned",done:"planned",refused:"no plan yet",failed:"\
failed",cancelled:"stopped"},Vs={reading:"reading the drawing",planning:"planning the plates",writing:"writing the files"},wt=s=>s.state==="\
working"&&s.stage?Vs[s.stage]:s.state==="waiting"&&s.ahead>0?`waits for ${$(s.ahead,"other drawing")}`:Us[s.state],Z=s=>s.state==="waiting"||
s.state==="working",pe=(s,t)=>{let e=l("progress");return e.max=1,t!==null&&(e.value=t),e.setAttribute("aria-label",s),e},ue=class{root=u("h\
ome",l("div"));onChanged=()=>{};uploads;sending=u("sending",l("section"));complaint=l("div");told=l("p");finder;uploadRows;jobRows;names=new Map;jobs=null;wanted="";trouble=null;constructor(t,e){
this.uploads=e;let n=l("input");n.type="file",n.multiple=!0,n.id="choose",n.accept=".dxf,.ifc,.ifczip",n.addEventListener("change",()=>{e.add(
[...n.files??[]]),n.value=""});let o=l("label",null,l("b","Choose drawings"));o.htmlFor=n.id;let i=b("svg",{viewBox:"0 0 48 36","aria-hidden":"\
true"});i.append(b("path",{d:"M4 22V32H44V22M24 4V24M15 15L24 24L33 15"}));let r=u("drop",l("section",null,i,l("h2","Drop drawings here"),l(
"p",null,"DXF or IFC, one or many, up to ",l("b",j(t.limits.upload_bytes))," each"),n,o)),[a,d]=[l("ul"),u("jobs",l("ul"))];this.uploadRows=
new Nt(a,p=>String(p.id),p=>`${p.state} ${p.told.join()} ${p.trouble?.message??""}`,p=>this.upload(p)),this.jobRows=new Nt(d,p=>p.id,p=>JSON.
stringify([p,this.names.get(p.revision_of??"")]),p=>this.job(p)),this.sending.append(l("h2","On their way"),a),this.finder=this.field();let c=u(
"plans",l("section",null,l("h2","Plans"),this.complaint,this.finder,this.told,d));this.root.append(l("h1","Plate plans from drawings"),u("le\
ad",l("p",null,"Drop an architect\u2019s drawing. Look at what was read as walls, settle what is doubtful, take away cut lists and sheets. Everyt\
hing stays on this machine, in ",u("folder",x(t.folder)),".")),r,this.sending,c),this.sending.setAttribute("aria-label","On their way"),this.
draw()}take(t){this.jobs=t,this.drawPlans()}draw(){this.drawSending(),this.drawPlans()}drawSending(){let t=this.uploads.all.filter(e=>e.state!==
"sent");this.sending.hidden=t.length===0,this.uploadRows.show(t);for(let e of t){let n=this.uploadRows.row(String(e.id))?.querySelector("pro\
gress");n&&(n.value=e.share,n.nextSibling&&(n.nextSibling.textContent=`${Math.round(e.share*100)} %`))}}upload(t){let e=l("li",null,l("b",null,
x(t.file.name)),` ${j(t.file.size)} `);e.className=`upload ${t.state}`;let n=u("actions",l("div")),o=g("Dismiss",()=>this.uploads.forget(t),
"quiet");return t.state==="waiting"&&e.append("waits"),t.state==="sending"&&e.append(pe(`Sending ${t.file.name}`,t.share),"0 %"),(t.state===
"waiting"||t.state==="sending")&&n.append(g("Stop",()=>this.uploads.stop(t))),t.state==="there"&&t.job&&(e.append(...(t.told.length>0?t.told:
["This very file is here already. Nothing was added."]).map(i=>l("p",null,x(i)))),n.append(H("Open it",`#/job/${t.job.id}`),g("Plan it again\
 as another job",()=>this.uploads.retry(t,!0)),o)),t.state==="failed"&&t.trouble&&(e.append(R(t.trouble)),Is.includes(t.trouble.code)||n.append(
g("Try again",()=>this.uploads.retry(t))),n.append(o)),qn(n,t.file.name),e.append(n),e}drawPlans(){let{jobs:t}=this;this.complaint.replaceChildren(
...this.trouble?[R(this.trouble)]:[]);let e=this.wanted.trim().toLowerCase(),n=(t??[]).filter(o=>e===""||`${o.file} ${o.project} ${o.lot}`.toLowerCase().
includes(e));this.told.textContent=t===null?"Asking for the list\u2026":t.length===0?"None yet. Whatever is dropped stays here until it is d\
eleted.":n.length===0?"None by that name.":"",this.finder.hidden=(t?.length??0)<Fs&&this.wanted==="",this.names=new Map((t??[]).map(o=>[o.id,
o.file])),this.jobRows.show(n)}field(){let t=l("input");return t.type="search",t.placeholder="file, project, lot",t.addEventListener("input",
()=>{this.wanted=t.value,this.drawPlans()}),ft("Find",t)}job(t){let e=l("li");e.className=`job ${t.state}`,e.dataset.job=t.id;let n=H("",`#/\
job/${t.id}`);n.append(x(t.file));let o=l("h3",null,n),i=u("state",l("span",wt(t))),r=[t.project,t.lot&&t.lot!==t.file.replace(/\.[^.]*$/,"")?
`Lot ${t.lot}`:"",Kt(t.uploaded_at),j(t.bytes),t.walls===null?"":$(t.walls,"wall"),t.pieces?$(t.pieces,"piece"):""].filter(p=>p!=="");e.append(
o,i),Z(t)&&e.append(pe(`${wt(t)}: ${t.file}`,t.state==="working"&&t.steps>0?t.step/t.steps:null));let a=u("about",l("p",null,x(r.join(" \xB7 "))));
if(t.findings)for(let p of["error","warning","note"]){let f=t.findings[p];f>0&&a.append(" \xB7 ",z(p),` ${$(f,p)}`)}e.append(a);let d=t.revision_of===
null?void 0:this.names.get(t.revision_of);d!==void 0&&e.append(l("p",null,"New revision of ",x(d))),t.message&&e.append(u("said",l("p",null,
x(t.message))));let c=u("actions",l("div"));return Z(t)&&c.append(g("Stop",()=>this.act(It(t.id)))),(t.state==="failed"||t.state==="cancelle\
d")&&c.append(g("Try again",()=>this.act(Ut(t.id)))),t.state==="refused"&&c.append(H("Settle it",`#/job/${t.id}`)),Z(t)||c.append(g("Delete",
()=>an("Delete this plan?",`${t.file}: the drawing, its edits and its files are deleted from this machine.`,"Delete it",()=>this.act(qe(t.id))),
"quiet")),qn(c,t.file),e.append(c),e}act(t){t.then(()=>this.trouble=null,e=>this.trouble=L(e)).finally(()=>{this.drawPlans(),this.onChanged()})}},
qn=(s,t)=>{for(let e of s.children)e.setAttribute("aria-label",`${e.textContent}: ${t}`)};var js=3,Bs=1500,fe=class{all=[];onChange=()=>{};onJob=t=>{};limits;sending=new Map;next=1;constructor(t){this.limits=t}add(t,e=null){for(let n of t){
let o=this.refusal(n);this.all.unshift({id:this.next++,file:n,revisionOf:e,again:!1,state:o?"failed":"waiting",share:0,told:[],trouble:o,job:null})}
this.go()}refusal(t){return t.size>this.limits.upload_bytes?new D(0,"too-large",`${j(t.size)} is more than this server takes (${j(this.limits.
upload_bytes)}).`,"Save the plan alone: purge unused blocks, drop pictures and the other sheets. The server's limit can be set when it is st\
arted."):t.size===0?new D(0,"empty","The file is empty, or it is a folder.","Drop the drawings themselves."):null}stop(t){this.sending.get(t.
id)?.stop(),t.state==="waiting"&&this.forget(t)}forget(t){this.all=this.all.filter(e=>e!==t),this.onChange()}retry(t,e=!1){Object.assign(t,{
again:e,state:"waiting",share:0,trouble:null,job:null,told:[]}),this.go()}get isBusy(){return this.all.some(t=>t.state==="waiting"||t.state===
"sending")}go(){for(let t of this.all.toReversed()){if(this.sending.size>=js)break;t.state==="waiting"&&this.send(t)}this.onChange()}async send(t){
t.state="sending";let e={again:t.again,...t.revisionOf===null?{}:{revision_of:t.revisionOf}},n=rn(t.file,e,o=>{t.share=o,this.onChange()});this.
sending.set(t.id,n);try{let{job:o,already_there:i,told:r}=await n.done;Object.assign(t,{job:o,told:r,state:i?"there":"sent",share:1}),this.onJob(
t)}catch(o){let i=L(o);if(i.status===429)return t.state="waiting",this.sending.delete(t.id),setTimeout(()=>this.go(),Bs),this.onChange();Object.
assign(t,{state:"failed",trouble:i})}this.sending.delete(t.id),this.go()}};var Js=200,me=class s{job;drawing;reading;plan;overrides;edition;undone=[];done=[];asked=[];running=!1;onPlan=()=>{};onReading=()=>{};onDrawing=()=>{};onBusy=t=>{};onDone=(t,e)=>{};onTrouble=t=>{};constructor(t,e,n,o,i,r){
[this.job,this.drawing,this.reading]=[t,e,n],[this.plan,this.overrides,this.edition]=[o,i,r]}static async open(t){let[e,n,o,i]=await Promise.
all([Vt(t.id),jt(t.id),xe(t.id),ke(t.id)]);return new s(t,e,n,o,i.overrides,i.edition)}get canUndo(){return this.done.at(-1)?.words??null}get canRedo(){
return this.undone.at(-1)?.words??null}get busy(){return this.running}edit(t,e){this.ask({words:t,edit:e,way:"edit",began:performance.now()})}undo(){
this.ask({words:"undone",edit:t=>this.done.at(-1)?.overrides??t,way:"undo",began:performance.now()})}redo(){this.ask({words:"done again",edit:t=>this.
undone.at(-1)?.overrides??t,way:"redo",began:performance.now()})}async reload(t){let[e,n,o,i]=await Promise.all([jt(this.job.id),ke(this.job.
id),t??xe(this.job.id),Lt(this.job.id)]),r=Yn(this.drawing,o)?this.drawing:await Vt(this.job.id);[this.reading,this.overrides,this.edition,this.
job]=[e,n.overrides,n.edition,i],this.take(o,r),this.onReading()}ask(t){this.asked.push(t),this.running||this.run()}async run(){this.running=
!0,this.onBusy(!0);for(let t=this.asked.shift();t;t=this.asked.shift())try{await this.one(t)}catch(e){this.asked.length=0;let n=L(e);this.onTrouble(
n),n.status===409?await this.reload().catch(()=>{}):this.onPlan()}this.running=!1,this.onBusy(!1)}async one({words:t,edit:e,way:n,began:o}){
let i=this.overrides,r=e(i,this.plan);if(n==="edit"&&Tn(i,r)||n==="undo"&&this.done.length===0||n==="redo"&&this.undone.length===0)return;let a=await Ye(
this.job.id,this.edition,r);this.edition=a.edition,this.overrides=r;let d=(n==="edit"?null:n==="undo"?this.done.pop():this.undone.pop())?.words??
t;(n==="undo"?this.undone:this.done).push({words:d,overrides:i}),n==="edit"&&(this.undone.length=0),this.done.length>Js&&this.done.shift();let c=Yn(
this.drawing,a)?this.drawing:await Vt(this.job.id);this.take(a,c),this.onDone(n==="edit"?t:`${d}: ${t}`,performance.now()-o),requestAnimationFrame(
()=>setTimeout(()=>performance.measure("edit-to-redraw",{start:o,end:performance.now()}))),a.reading_changed&&(this.reading=await jt(this.job.
id),this.onReading())}take(t,e){let n=e!==this.drawing;[this.plan,this.drawing]=[t,e],n&&this.onDrawing(),this.onPlan()}},Yn=(s,t)=>s.frame.
inches_per_unit===t.frame.inches_per_unit&&s.frame.mirror===t.frame.mirror;var Xn=500,Ks=3e3,Zn=1e3,ge=ut(document,"main"),Fe=ut(document,"#gone"),zs=ut(document,"#spoken"),Ie=s=>{zs.textContent=s},Qn=s=>new Promise(
t=>setTimeout(t,s)),Gt=s=>{let t=s!==null&&s.status===0;t!==!Fe.hidden&&(Fe.hidden=!t,Fe.replaceChildren(...t&&s?[l("b",s.message),` ${s.whatToDo}`]:
[]))},Ue=class{about;uploads;home;shown=0;jobs=[];looking;constructor(t){this.about=t,this.uploads=new fe(t.limits),this.home=new ue(t,this.
uploads),this.uploads.onChange=()=>this.home.drawSending(),this.uploads.onJob=e=>{Ie(e.told.join(" ")||`${e.file.name} has arrived`),e.revisionOf!==
null&&e.state==="sent"&&e.job&&(location.hash=`#/job/${e.job.id}`),this.look()},this.home.onChanged=()=>this.look(),addEventListener("hashch\
ange",()=>{this.turn()}),this.takeDrops(),this.look(),this.turn()}look(){clearTimeout(this.looking);let t=Ks;Ft().then(({jobs:e})=>{Gt(null);
for(let n of e){let o=this.jobs.find(i=>i.id===n.id);o&&Z(o)&&!Z(n)&&Ie(`${n.file}: ${wt(n)}`)}this.jobs=e,this.home.take(e),(e.some(Z)||this.
uploads.isBusy)&&(t=Xn)},e=>{Gt(L(e)),t=Zn}).finally(()=>{clearTimeout(this.looking),this.looking=window.setTimeout(()=>this.look(),t)})}async turn(){
let t=++this.shown,e=/^#\/job\/([\w-]+)$/.exec(location.hash)?.[1];if(e===void 0)return document.title="platewright office",this.put(this.home.
root);try{await this.open(e,t)}catch(n){t===this.shown&&this.put(this.page("This drawing cannot be opened",R(L(n)),g("Try again",()=>{this.turn()})))}}async open(t,e){
let n=await Lt(t);for(document.title=`${n.file} \xB7 platewright office`;Z(n);){if(e!==this.shown)return;let i=n.state==="working"&&n.steps>
0?n.step/n.steps:null;this.put(this.page(n.file,l("p",`${wt(n)}\u2026`),pe(wt(n),i),g("Stop",()=>{It(t).catch(r=>Gt(L(r)))}))),await Qn(Xn/2),
n=await Lt(t)}if(e!==this.shown)return;if(n.state==="failed"||n.state==="cancelled")return this.put(this.stopped(n));this.put(this.page(n.file,
l("p","Opening\u2026")));let o=await me.open(n);e===this.shown&&this.put(zn(o,this.about,Ie,i=>{this.uploads.add(i,n.id),location.hash="#/"}))}stopped(t){
let e=()=>{Ut(t.id).then(()=>this.turn(),n=>Gt(L(n)))};return this.page(t.file,l("p",t.state==="failed"?"Planning failed; the drawing and it\
s edits are kept.":"Planning was stopped; the drawing and its edits are kept."),...t.message?[u("trouble",l("div",null,l("p",null,x(t.message))))]:
[],g("Try again",e))}page(t,...e){return u("plain",l("div",null,l("p",null,H("\u2190 All drawings","#/")),l("h1",null,x(t)),...e))}put(t){let e=ge.
firstElementChild!==t,n=ge.querySelector("h1")?.textContent;ge.replaceChildren(t);let o=t.querySelector("h1");!e||!o||n===void 0||n===o.textContent||
(o.tabIndex=-1,o.focus({preventScroll:!0}),scrollTo(0,0))}takeDrops(){let t=()=>this.home.root.querySelector(".drop");addEventListener("drag\
over",e=>{e.dataTransfer?.types.includes("Files")&&(e.preventDefault(),t()?.classList.add("over"))}),addEventListener("dragleave",e=>{e.relatedTarget===
null&&t()?.classList.remove("over")}),addEventListener("drop",e=>{e.dataTransfer?.types.includes("Files")&&(e.preventDefault(),t()?.classList.
remove("over"),this.uploads.add([...e.dataTransfer.files]),location.hash!=="#/"&&location.hash!==""&&(location.hash="#/"))}),addEventListener(
"beforeunload",e=>{this.uploads.isBusy&&e.preventDefault()})}},qs=async()=>{for(;;)try{new Ue(await Je());return}catch(s){let t=L(s);if(Gt(t),
t.status!==0)return ge.replaceChildren(R(t));await Qn(Zn)}};qs();})();
