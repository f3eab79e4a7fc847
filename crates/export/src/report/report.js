"use strict";(()=>{var Ie="http://www.w3.org/2000/svg",y=(t,e,...n)=>{let s=document.createElement(t);return e&&(s.textContent=e),s.append(...n),s},K=(t,e={})=>{
let n=document.createElementNS(Ie,t);for(let[s,o]of Object.entries(e))n.setAttribute(s,String(o));return n},$=t=>y("bdi",t),ee=(t,e)=>`${t} ${e}${t===
1?"":"s"}`,E=(t,e)=>{let n=t.querySelector(e);if(!n)throw new Error(`the page has no ${e}`);return n},L=t=>t.target instanceof Element?t.target:
null;var ae=5.5,j=1.5,De=140,Be=2.2,te=class{svg;stage;world;left=0;top=0;width=1;height=1;middle=[.5,.5];letter=1;now={k:1,x:0,y:0};painted=null;most=1;wide=0;high=0;waiting=!1;rest=0;onPaint=()=>{};constructor(e){
if(this.svg=e,!e.parentElement)throw new Error("a plan stands in its stage");this.stage=e.parentElement,this.world=E(e,".world"),this.frame(),
new ResizeObserver(()=>{let[n,s]=[this.stage.clientWidth,this.stage.clientHeight];n===0||s===0||e.clientWidth===0||([this.wide,this.high]=[n,
s],this.paint())}).observe(e)}frame(){let[e=0,n=0,s=1,o=1]=(this.svg.getAttribute("viewBox")??"").split(" ").map(Number);[this.left,this.top,
this.width,this.height]=[e,n,s,o],this.middle=[e+s/2,n+o/2],this.letter=Number(this.svg.getAttribute("font-size")),this.most=Math.max(12,s/60),
this.now={k:1,x:0,y:0},this.wide>0&&this.paint()}get inch(){return Math.max(this.width/(this.wide||1),this.height/(this.high||1))}at(e,n){let s=this.
stage.getBoundingClientRect(),[o,i]=this.middle;return[o+(e-s.left-s.width/2)*this.inch,i+(n-s.top-s.height/2)*this.inch]}seen(e,n){let[s,o]=this.
at(e,n);return[(s-this.now.x)/this.now.k,(o-this.now.y)/this.now.k]}get pixel(){return this.inch/this.now.k}get isWhole(){return this.now.k===
1}zoom(e,[n,s]=this.middle){let{k:o,x:i,y:r}=this.now,a=Math.min(this.most,Math.max(1,o*e)),u=a/o;this.move({k:a,x:n-(n-i)*u,y:s-(s-r)*u})}pan(e,n){
let{k:s,x:o,y:i}=this.now;this.move({k:s,x:o+e*this.inch,y:i+n*this.inch})}whole(){this.move({k:1,x:0,y:0})}show(e){let{k:n,x:s,y:o}=this.now,
i=this.inch,[r,a]=this.middle,[u,h]=[this.wide*i/2,this.high*i/2],d=(R,z,J,F,Q)=>Math.abs(n*R+J-F)<Q*.9&&Math.abs(n*(R+z)+J-F)<Q*.9;if(d(e.x,
e.width,s,r,u)&&d(e.y,e.height,o,a,h)&&this.letter*n/i>=ae*1.6)return;let f=Math.max(e.width,e.height,this.letter*20),x=Math.min(u,h)*2/f/1.6,
w=ae*2*i/this.letter,b=Math.min(this.most,Math.max(1,Math.min(x,Math.max(w,n)))),[S,T]=[e.x+e.width/2,e.y+e.height/2];this.move({k:b,x:r-S*b,
y:a-T*b})}move({k:e,x:n,y:s}){if(e<=1.0001)this.now={k:1,x:0,y:0};else{let o=(i,r,a)=>{let u=r+a/2;return Math.min(u-r*e,Math.max(u-(r+a)*e,
i))};this.now={k:e,x:o(n,this.left,this.width),y:o(s,this.top,this.height)}}clearTimeout(this.rest),this.rest=window.setTimeout(()=>this.paint(),
De),!this.waiting&&(this.waiting=!0,requestAnimationFrame(()=>{this.waiting=!1,this.shift()}))}shift(){let[e,n]=[this.now,this.painted];if(!n)
return this.paint();let[s,o]=this.middle,i=e.k/n.k,r=(e.x-s-i*(n.x-s))/this.inch,a=(e.y-o-i*(n.y-o))/this.inch,u=(h,d)=>Math.abs(h)+d/2<=d*j*
i/2+1;if(i>Be||!u(r,this.wide)||!u(a,this.high))return this.paint();this.svg.style.transform=`translate(${r}px, ${a}px) scale(${i})`}paint(){
clearTimeout(this.rest);let{k:e,x:n,y:s}=this.now,[o,i]=this.middle;this.svg.style.transform="",this.painted!==this.now&&this.world.setAttribute(
"transform",`matrix(${e/j} 0 0 ${e/j} ${o+(n-o)/j} ${i+(s-i)/j})`),this.painted=this.now,this.svg.classList.toggle("far",this.letter*e/this.
inch<ae),this.svg.classList.toggle("zoomed",!this.isWhole),this.onPaint()}};var ne=!1,we=()=>ne,ve=t=>{let{svg:e}=t,n=new Map,s=0,o=()=>{let[r={x:0,y:0},a=r]=n.values();return{x:(r.x+a.x)/2,y:(r.y+a.y)/2,apart:Math.hypot(
r.x-a.x,r.y-a.y)}};e.addEventListener("pointerdown",r=>{r.pointerType==="mouse"&&r.button!==0&&r.button!==1||(n.set(r.pointerId,{x:r.clientX,
y:r.clientY}),n.size===1&&(s=0,ne=!1))}),e.addEventListener("pointermove",r=>{if(!n.has(r.pointerId))return;let a=o();n.set(r.pointerId,{x:r.
clientX,y:r.clientY});let u=o(),[h,d]=[u.x-a.x,u.y-a.y];s+=Math.hypot(h,d)+Math.abs(u.apart-a.apart),!(s<5)&&(ne||(ne=!0,e.setPointerCapture(
r.pointerId),e.classList.add("moving")),n.size>1&&a.apart>0&&t.zoom(u.apart/a.apart,t.at(u.x,u.y)),t.pan(h,d))});let i=r=>{n.delete(r.pointerId),
n.size===0&&e.classList.remove("moving")};for(let r of["pointerup","pointercancel","lostpointercapture"])e.addEventListener(r,i);e.addEventListener(
"pointerleave",r=>{e.hasPointerCapture(r.pointerId)||i(r)});for(let r of["touchstart","touchmove"])e.addEventListener(r,a=>{a.touches.length>
1&&a.cancelable&&a.preventDefault()},{passive:!1});e.addEventListener("wheel",r=>{let a=r.timeStamp-Ee<300,u=t.isWhole&&r.deltaY>0&&!r.ctrlKey;
if(a||u)return;r.preventDefault();let h=r.deltaY*(r.deltaMode===1?16:r.deltaMode===2?400:1),d=Math.exp(-Math.max(-200,Math.min(200,h))*(r.ctrlKey?
.01:.002));t.zoom(d,t.at(r.clientX,r.clientY))},{passive:!1}),e.addEventListener("keydown",r=>{if(r.ctrlKey||r.metaKey||r.altKey)return;let a={
"+":()=>t.zoom(1.4),"=":()=>t.zoom(1.4),"-":()=>t.zoom(1/1.4),0:()=>t.whole(),ArrowLeft:()=>t.pan(60,0),ArrowRight:()=>t.pan(-60,0),ArrowUp:()=>t.
pan(0,60),ArrowDown:()=>t.pan(0,-60)}[r.key];a&&(r.preventDefault(),a())})},Ee=-300;document.addEventListener("scroll",t=>{t.target===document&&
(Ee=t.timeStamp)},{passive:!0});var We=null,N=()=>We??=JSON.parse(document.getElementById("facts")?.textContent??""),ze=t=>{let e=[],n=0;for(let s of t.split(" ")){let[o,i="\
1"]=s.split("*");for(let r=Number(i);r>0;r--)e.push(n+=Number(o))}return e},xe=t=>t===""?[]:t.split("|").map(e=>{let n=e.indexOf(":");return[
e.slice(0,n),ze(e.slice(n+1))]}),I=t=>{let e=N().pieces[t-1];if(!e)return null;let[n,s,o,i,r,a,u]=e;return{id:t,run:n,layer:s,from:o,to:i,walls:u,
marks:()=>xe(r),nails:()=>xe(a).map(([h,d])=>{let[p=0,f=0]=h.split("x").map(Number);return{name:N().nails[p]??"",count:f,at:d}})}},ce=(t,e)=>{
let n=e?"lower":"upper",s=new Set;N().pieces.forEach(([o,i,r,a],u)=>{o===t.run&&i===n&&r<t.to-.01&&a>t.from+.01&&s.add(u+1)});for(let[o,[i,...r]]of N().
ties)i===void 0||o!=="lap"&&o!=="notch"||(e&&i===t.id&&r.forEach(a=>s.add(a)),!e&&r.includes(t.id)&&s.add(i));return[...s].sort((o,i)=>o-i)},
Le=t=>{let e=N().runs[t-1];if(!e)return null;let[n,s,o,i,r,a]=e;return{storey:a,half:r,at:(u,h)=>[n+o*u+i*h,s+i*u-o*h]}},Y=t=>{let e=N().walls[t-
1];if(!e)return null;let[n,s,o]=e;return{run:n,words:s,source:o}},ke=()=>N().pieces.map((t,e)=>e+1);var de=new Map,H=new Map,Se=[],G=null,D=null,me=[],Pe=()=>{for(let t of document.querySelectorAll(".stage .plates [data-p]"))de.set(Number(t.
dataset.p),t);for(let t of document.querySelectorAll("tr[data-p]"))H.set(Number(t.dataset.p),t);for(let t of document.querySelectorAll("svg.\
plan")){let[e,n]=[K("path",{class:"halo under"}),K("path",{class:"halo held"})];t.querySelector(".world")?.append(e,n),Se.push({svg:t,under:e,
held:n})}},se=(t,e,n)=>{if(t===null)return;H.get(t)?.classList.toggle(e,n);let s=de.get(t),o=s&&Se.find(i=>i.svg===s.ownerSVGElement);o&&(n?
o[e].setAttribute("d",s.getAttribute("d")??""):o[e].removeAttribute("d"))},A=(t,e)=>{if(!(t!==null&&!H.has(t))){se(G,"held",!1),G=t,se(G,"he\
ld",!0);for(let n of me)n({held:G,under:D,from:e})}},V=t=>{if(t!==D){se(D,"under",!1),D=t,se(D,"under",!0);for(let e of me)e({held:G,under:D,
from:"pointer"})}},Me=t=>{let e=[...H.keys()],n=G===null?-1:e.indexOf(G),s=n<0?t>0?0:e.length-1:(n+t+e.length)%e.length,o=e[s];o!==void 0&&A(
o,"key")},q=()=>G,he=t=>t===null?void 0:de.get(t),B=t=>H.get(t),O=t=>H.get(t)?.querySelector("th bdi")?.textContent??"",Ce=t=>{me.push(t)},Te=()=>[
...H.keys()];var M,$e=t=>{M=E(t,".card")},v=(t,e,...n)=>{n.length!==0&&t.append(y("dt",e),y("dd",null,...n))},Ae=t=>t.flatMap((e,n)=>{let s=y("a",O(e));return s.
href=`#P${e}`,s.className="to-piece",n===0?[s]:[", ",s]}),Re=t=>t.flatMap((e,n)=>{let s=Y(e)?.source??[],o=[n===0?"":"; ",`W${e}`];return s.
slice(0,4).forEach(([i,r],a)=>{o.push(a===0?": ":", ",y("code",i)," on ",$(r))}),s.length>4&&o.push(` and ${s.length-4} more`),o}),Ke=t=>{if(t.
layer==="bottom")return["the floor"];if(t.layer==="lower")return["the studs"];let e=ce(t,!0);return e.length?Ae(e):["nothing drawn"]},je=()=>{
let t=y("button","Close");return t.type="button",t.className="close",t},re=(t,...e)=>{M.replaceChildren(...e),t&&M.append(je()),M.classList.
toggle("pinned",t),M.hidden=!1},_=()=>{M.hidden=!0,M.classList.remove("pinned"),M.replaceChildren()},W=t=>t?[...t.cloneNode(!0).childNodes]:
[],fe=(t,e)=>{let[n,s]=[I(t),B(t)];if(!n||!s)return _();let[o,i,r,a,u,h,d]=s.cells,p=y("h3");p.append($(O(t))," ",y("small",o?.querySelector(
"small")?.textContent));let f=y("dl");v(f,"Plate",...W(i),` of R${n.run}`),v(f,"Length",...W(r)),v(f,"Ends",...W(a)),u&&!u.matches(".none")&&
v(f,"Notches",...W(u)),v(f,"Check",...W(h));let x=new Map;for(let{name:b,count:S,at:T}of n.nails()){let[R,z]=x.get(b)??[0,[]];x.set(b,[R+S*T.
length,[...z,`${S} in ${ee(T.length,"place")}`]])}for(let[b,[S,T]]of x)v(f,"Nails",`${S}: ${T.join(", ")}; `,$(b));let w=n.marks().map(([b,S])=>ee(
S.length,b));if(w.length&&v(f,"Marked",w.join(", ")),v(f,"Stands on",...Ke(n)),n.layer==="lower"){let b=ce(n,!1);b.length&&v(f,"Under",...Ae(
b))}v(f,"Board",...W(d)),v(f,"Drawn as",...Re(n.walls)),re(e,p,f)},X=(t,e)=>{let n=y("ul");for(let o of t.slice(0,6)){let i=document.getElementById(
`f${o}`);if(!i)continue;let r=y("a",`${o}`);r.href=`#f${o}`;let a=i.closest("article")?.querySelector("h3")?.textContent?.trim().split(":")[0]??
"",u=i.querySelector("bdi")?.textContent??"";n.append(y("li","",r,` ${a}: `,$(u)))}let s=t.length-6;re(e,y("h3",t.length===1?"Finding":ee(t.
length,"finding")),n,...s>0?[y("p",`and ${s} more here`)]:[])},Fe=t=>{let e=Y(t);if(!e)return _();let n=y("dl");v(n,"Wall",`${e.words}, in R${e.
run}`),v(n,"Drawn as",...Re([t])),re(!1,y("h3",`W${t}`),n)},Ge=(t,e)=>{let n=y("dl");v(n,"Layer",$(t)),v(n,e?"Left out":"Read",$(e||"became \
part of a wall or an opening")),re(!1,y("h3","Line of the drawing"),n)},oe=(t,e)=>{let n=M.parentElement?.getBoundingClientRect();n&&(M.classList.
toggle("high",e>n.top+n.height/2),M.classList.toggle("right",t<n.left+n.width/2))},Ve=t=>{let e=B(t);if(!e)return"";let[,n,s,o]=e.cells;return[
O(t),n?.textContent,s?.querySelector("strong")?.textContent,o?.textContent].map(i=>(i??"").trim()).join(", ")};var ge=12,_e=null,ye=t=>t.trim().toLowerCase(),Xe=()=>_e??=Te().flatMap(t=>{let e=I(t);if(!e)return[];let n=e.walls.flatMap(i=>(Y(i)?.source??
[]).map(([r])=>r)),s=[O(t),`P${t}`],o=[...e.walls.map(i=>`W${i}`),`R${e.run}`,...n];return[{id:t,fact:e,own:s.map(ye),all:o.map(ye)}]}),Ue=(t,e)=>t.
own.includes(e)?0:t.all.includes(e)?1:t.own.some(n=>n.startsWith(e))?2:t.own.some(n=>n.includes(e))?3:null,Je=t=>{let e=ye(t);return e===""?
[]:Xe().flatMap(n=>{let s=Ue(n,e);return s===null?[]:[{name:n,rank:s}]}).sort((n,s)=>n.rank-s.rank||n.name.id-s.name.id).map(n=>n.name)},Ne=(t,e)=>{
let n=E(t,"#find"),s=E(t,"#found"),o=E(t,".hits"),i=E(t,".find"),r=[],a=()=>{o.hidden=!0,o.replaceChildren()},u=()=>{r=Je(n.value);let d=r.length-
ge;s.textContent=n.value.trim()===""?"":r.length===0?"Nothing by that name":`${r.length} found${d>0?`, the first ${ge} listed`:""}`,o.replaceChildren(
...r.slice(0,ge).map(({id:p,fact:f})=>{let x=y("button");x.type="button",x.dataset.id=String(p);let w=f.walls.map(b=>`W${b}`).join(" ");return x.
append($(O(p)),` P${p}, ${f.layer}, R${f.run} ${w}`),y("li",null,x)})),o.hidden=r.length===0},h=d=>{let p=d?.querySelector("button");return p&&
p.focus(),p!=null};n.addEventListener("input",u),n.addEventListener("keydown",d=>{let p=r[0];d.key==="Enter"&&p?(e(p.id),a()):d.key==="Arrow\
Down"&&!o.hidden?(d.preventDefault(),h(o.firstElementChild)):d.key==="Escape"&&a()}),o.addEventListener("keydown",d=>{let p=L(d)?.closest("l\
i");d.key==="ArrowDown"?(d.preventDefault(),h(p?.nextElementSibling)):d.key==="ArrowUp"?(d.preventDefault(),h(p?.previousElementSibling)||n.
focus()):d.key==="Escape"&&(a(),n.focus())}),o.addEventListener("click",d=>{let p=L(d)?.closest("button");p&&(e(Number(p.dataset.id)),a(),n.
focus())}),document.addEventListener("pointerdown",d=>{i.contains(L(d))||a()})};var ie=1.5,qe,He=new Set,le=t=>Math.round(t*100)/100,k=(t,e=!1)=>t.map(([n,s],o)=>`${o?"L":"M"}${le(n)} ${le(s)}`).join("")+(e?"z":""),Ze=(t,e,n)=>{
let s=i=>[e(i-ie/2,-n),e(i+ie/2,-n),e(i+ie/2,n),e(i-ie/2,n)];return{stud:i=>{let[r,a,u,h]=s(i);return k([r,a,u,h],!0)+k([r,u])+k([a,h])},corner:i=>{
let[r,a,u,h]=s(i);return k([r,a,u,h],!0)+k([r,u])+k([a,h])+k([e(i,-n),e(i,n)])},king:i=>{let[r,a,u,h]=s(i);return k([r,a,u,h],!0)+k([r,u])},
trimmer:i=>k(s(i),!0),tee:i=>k([e(i,-n*1.35),e(i,n*1.35)]),opening:i=>k([e(i,-n),e(i,n)]),anchor:i=>k([0,1,2,3,4,5,6,7].map(r=>e(i+.8*Math.cos(
r*Math.PI/4),.8*Math.sin(r*Math.PI/4))),!0)}[t]},et=(t,e)=>{let n=(s,o)=>e.at(t.from+s,o);return t.marks().map(([s,o])=>{let i=Ze(s,n,e.half);
return i?o.map(i).join(""):""}).join("")},tt=(t,e)=>t.nails().map(({count:n,at:s})=>s.map(o=>{let i="";for(let r=0;r<n;r++){let[a,u]=e.at(t.
from+o,e.half*(2*(r+.5)/n-1));i+=`M${le(a)} ${le(u)}h0`}return i}).join("")).join(""),nt=t=>{if(He.has(t))return;He.add(t);let e=new Map;for(let n of ke()){
let s=I(n),o=s&&Le(s.run);if(!o)continue;let i=`${o.storey} ${s.layer}`,r=e.get(i)??{id:`s${o.storey}-${t}`,layer:s.layer,d:""};r.d+=(t==="s\
tuds"?et:tt)(s,o),e.set(i,r)}for(let{id:n,layer:s,d:o}of e.values())document.getElementById(n)?.append(K("path",{class:s,d:o}))},U=(t,e)=>{e&&
(t==="studs"||t==="nails")&&nt(t),qe.classList.toggle(`no-${t}`,!e),document.body.classList.toggle(`with-${t}`,e);let n=document.querySelector(
`.layers input[value="${t}"]`);n&&(n.checked=e)},Oe=t=>{qe=t;for(let e of document.querySelectorAll(".layers input"))U(e.value,e.checked),e.
addEventListener("change",()=>U(e.value,e.checked))};var rt=()=>{let t=document.querySelector(".stage");if(!t||!t.querySelector("svg.plan"))return;document.documentElement.classList.add("script\
ed");let e=E(document,".panel"),n=E(document,".tools"),s=E(t,".spoken"),o=new Map,i=new Map;for(let l of t.querySelectorAll("svg.plan")){let c=new te(
l);o.set(l.dataset.storey,l),i.set(l,c),c.onPaint=()=>r(he(q())),ve(c)}Pe(),$e(t),Oe(t);let r=l=>{if(!l)return;let c=l.getBoundingClientRect();
oe(c.left+c.width/2,c.top+c.height/2)},a=null,u=l=>{a=l;for(let m of o.values())m.classList.toggle("away",m!==l);let c=n.querySelector(`.sto\
reys input[value="${l.dataset.storey}"]`);c&&(c.checked=!0)},h=n.querySelector(".storeys input:checked"),d=o.get(h?.value)??[...o.values()][0];
d&&u(d),n.querySelector(".storeys")?.addEventListener("change",l=>{let c=o.get(l.target.value);c&&u(c)});let p=l=>{let c=l.ownerSVGElement;c&&
(u(c),requestAnimationFrame(()=>{i.get(c)?.show(l.getBBox()),r(l)}))},f=()=>t.scrollIntoView({block:"nearest"}),x=l=>{if(!l||e.scrollHeight<=
e.clientHeight+1)return;let c=m=>{let[g,P]=[l.getBoundingClientRect(),e.getBoundingClientRect()],C=g.top-P.top-(P.height-g.height)/2;Math.abs(
C)>1&&(e.scrollTop+=C),m>0&&requestAnimationFrame(()=>c(m-1))};c(6)},w=null;Ce(({held:l,under:c,from:m})=>{m!=="pointer"&&(w=null);let g=c??
l;if(g!==null?fe(g,g===l):w?X(w,!0):_(),m==="pointer"||(s.textContent=l===null?"Nothing selected":Ve(l),l===null))return;m!=="row"&&x(B(l));
let P=he(l);m!=="plan"&&P&&p(P)});let b=()=>{w=null,A(null,"key")},S=l=>{for(let c of document.querySelectorAll("li.held"))c.classList.remove(
"held");l?.classList.add("held")},T=(l,c)=>{A(null,"pin"),w=l,X(l,!0);let m=document.getElementById(`f${l[0]}`);S(m),m&&x(m);for(let g of t.
querySelectorAll(".pin.held"))g.classList.remove("held");c.classList.add("held"),s.textContent=m?.querySelector("bdi")?.textContent??""},R=l=>(l.
dataset.f??"").split(" ").map(Number),z=l=>[...t.querySelectorAll(".pin")].find(c=>R(c).includes(l)),J=l=>l.dataset.l&&e.querySelector(`tr[d\
ata-l="${l.dataset.l}"] bdi`)?.textContent||"",F=l=>{let c=l?.closest("[data-p]");return c?Number(c.dataset.p):null};t.addEventListener("poi\
nterover",l=>{if(l.pointerType==="touch"||t.querySelector("svg.moving"))return;let c=L(l);if(!c)return;if(c.closest(".card"))return V(null);
oe(l.clientX,l.clientY);let m=F(c);if(V(m),m!==null)return;let g=c.closest(".pin"),P=c.closest("[data-w]"),C=c.closest(".drawn path"),Z=q();
g?X(R(g),!1):P&&Z===null&&!w?Fe(Number(P.dataset.w)):C&&Z===null&&!w?Ge(C.dataset.layer??"",J(C)):Z!==null?fe(Z,!0):w?X(w,!0):_()}),t.addEventListener(
"pointerleave",()=>V(null)),t.addEventListener("click",l=>{let c=L(l);if(!c)return;if(c.closest(".card")){c.closest(".close")&&(b(),a?.focus(
{preventScroll:!0}));return}let m=c.closest(".pin");if(m&&l.preventDefault(),we())return;if(m)return T(R(m),m);let g=F(c);if(g===null)return b();
oe(l.clientX,l.clientY),A(g===q()?null:g,"plan")}),t.addEventListener("keydown",l=>{if(l.key==="Escape")return b();if(!L(l)?.matches("svg.pl\
an")||l.ctrlKey||l.metaKey||l.altKey)return;let c=l.key.toLowerCase();if(c==="n"||c==="p")Me(c==="n"?1:-1);else if(l.key==="Enter"&&q()!==null)
B(q()??0)?.querySelector("a")?.focus();else return;l.preventDefault()}),e.addEventListener("pointerover",l=>{l.pointerType!=="touch"&&V(F(L(
l)))}),e.addEventListener("pointerleave",()=>V(null)),e.addEventListener("focusin",l=>V(F(L(l)))),e.addEventListener("focusout",()=>V(null)),
e.addEventListener("keydown",l=>{l.key==="Escape"&&b()}),document.addEventListener("click",l=>{let c=L(l)?.closest("a.to-piece");c&&(l.preventDefault(),
A(Number(c.hash.slice(2)),"link"))}),e.addEventListener("click",l=>{let c=L(l),m=c?.closest("a");if(m?.matches(".to-piece"))return;if(m?.matches(
".go")){let C=z(Number(m.dataset.f));return C?(l.preventDefault(),U("pins",!0),T([Number(m.dataset.f)],C),p(E(C,".spot")),f()):void 0}let g=F(
c);if(g!==null)return m&&(l.preventDefault(),f()),getSelection()?.isCollapsed===!1?void 0:A(g===q()&&!m?null:g,"row");let P=c?.closest("tr[d\
ata-l]");P&&(m&&(l.preventDefault(),f()),Q(P))});let Q=l=>{let c=l.classList.contains("held");for(let g of document.querySelectorAll("tr[dat\
a-l].held, .drawn .held"))g.classList.remove("held");if(c)return;let m=t.querySelectorAll(`.drawn [data-l="${l.dataset.l}"]`);m.length!==0&&
(l.classList.add("held"),m.forEach(g=>g.classList.add("held")),U("drawn",!0))};n.addEventListener("click",l=>{let c=a&&i.get(a);if(!c)return;
({in:()=>c.zoom(1.5),out:()=>c.zoom(1/1.5),whole:()=>c.whole()})[L(l)?.closest("[data-zoom]")?.dataset.zoom??""]?.()}),Ne(n,l=>A(l,"search"));
let be=()=>{let[,l,c]=/^#([Pf])(\d+)$/.exec(location.hash)??[];l==="P"&&A(Number(c),"link"),l==="f"&&S(document.getElementById(`f${c}`))};addEventListener(
"hashchange",be),be()};rt();})();
