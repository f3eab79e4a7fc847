"use strict";(()=>{var Ie="http://www.w3.org/2000/svg",y=(t,e,...n)=>{let r=document.createElement(t);return e&&(r.textContent=e),r.append(...n),r},K=(t,e={})=>{
let n=document.createElementNS(Ie,t);for(let[r,i]of Object.entries(e))n.setAttribute(r,String(i));return n},$=t=>y("bdi",t),ee=(t,e)=>`${t} ${e}${t===
1?"":"s"}`,v=(t,e)=>{let n=t.querySelector(e);if(!n)throw new Error(`the page has no ${e}`);return n},L=t=>t.target instanceof Element?t.target:
null;var ae=5.5,j=1.5,De=140,Be=2.2,te=class{svg;stage;world;left;top;width;height;middle;letter;now={k:1,x:0,y:0};painted=null;most;wide=0;high=0;waiting=!1;rest=0;onPaint=()=>{};constructor(e){
if(this.svg=e,!e.parentElement)throw new Error("a plan stands in its stage");this.stage=e.parentElement,this.world=v(e,".world");let[n=0,r=0,
i=1,o=1]=(e.getAttribute("viewBox")??"").split(" ").map(Number);[this.left,this.top,this.width,this.height]=[n,r,i,o],this.middle=[n+i/2,r+o/
2],this.letter=Number(e.getAttribute("font-size")),this.most=Math.max(12,i/60),new ResizeObserver(()=>{let[s,a]=[this.stage.clientWidth,this.
stage.clientHeight];s===0||a===0||e.clientWidth===0||([this.wide,this.high]=[s,a],this.paint())}).observe(e)}get inch(){return Math.max(this.
width/(this.wide||1),this.height/(this.high||1))}at(e,n){let r=this.stage.getBoundingClientRect(),[i,o]=this.middle;return[i+(e-r.left-r.width/
2)*this.inch,o+(n-r.top-r.height/2)*this.inch]}get isWhole(){return this.now.k===1}zoom(e,[n,r]=this.middle){let{k:i,x:o,y:s}=this.now,a=Math.
min(this.most,Math.max(1,i*e)),u=a/i;this.move({k:a,x:n-(n-o)*u,y:r-(r-s)*u})}pan(e,n){let{k:r,x:i,y:o}=this.now;this.move({k:r,x:i+e*this.inch,
y:o+n*this.inch})}whole(){this.move({k:1,x:0,y:0})}show(e){let{k:n,x:r,y:i}=this.now,o=this.inch,[s,a]=this.middle,[u,p]=[this.wide*o/2,this.
high*o/2],d=(R,z,J,F,Q)=>Math.abs(n*R+J-F)<Q*.9&&Math.abs(n*(R+z)+J-F)<Q*.9;if(d(e.x,e.width,r,s,u)&&d(e.y,e.height,i,a,p)&&this.letter*n/o>=
ae*1.6)return;let f=Math.max(e.width,e.height,this.letter*20),x=Math.min(u,p)*2/f/1.6,w=ae*2*o/this.letter,b=Math.min(this.most,Math.max(1,Math.
min(x,Math.max(w,n)))),[S,T]=[e.x+e.width/2,e.y+e.height/2];this.move({k:b,x:s-S*b,y:a-T*b})}move({k:e,x:n,y:r}){if(e<=1.0001)this.now={k:1,
x:0,y:0};else{let i=(o,s,a)=>{let u=s+a/2;return Math.min(u-s*e,Math.max(u-(s+a)*e,o))};this.now={k:e,x:i(n,this.left,this.width),y:i(r,this.
top,this.height)}}clearTimeout(this.rest),this.rest=window.setTimeout(()=>this.paint(),De),!this.waiting&&(this.waiting=!0,requestAnimationFrame(
()=>{this.waiting=!1,this.shift()}))}shift(){let[e,n]=[this.now,this.painted];if(!n)return this.paint();let[r,i]=this.middle,o=e.k/n.k,s=(e.
x-r-o*(n.x-r))/this.inch,a=(e.y-i-o*(n.y-i))/this.inch,u=(p,d)=>Math.abs(p)+d/2<=d*j*o/2+1;if(o>Be||!u(s,this.wide)||!u(a,this.high))return this.
paint();this.svg.style.transform=`translate(${s}px, ${a}px) scale(${o})`}paint(){clearTimeout(this.rest);let{k:e,x:n,y:r}=this.now,[i,o]=this.
middle;this.svg.style.transform="",this.painted!==this.now&&this.world.setAttribute("transform",`matrix(${e/j} 0 0 ${e/j} ${i+(n-i)/j} ${o+(r-
o)/j})`),this.painted=this.now,this.svg.classList.toggle("far",this.letter*e/this.inch<ae),this.svg.classList.toggle("zoomed",!this.isWhole),
this.onPaint()}};var ne=!1,we=()=>ne,Ee=t=>{let{svg:e}=t,n=new Map,r=0,i=()=>{let[s={x:0,y:0},a=s]=n.values();return{x:(s.x+a.x)/2,y:(s.y+a.y)/2,apart:Math.hypot(
s.x-a.x,s.y-a.y)}};e.addEventListener("pointerdown",s=>{s.pointerType==="mouse"&&s.button!==0&&s.button!==1||(n.set(s.pointerId,{x:s.clientX,
y:s.clientY}),n.size===1&&(r=0,ne=!1))}),e.addEventListener("pointermove",s=>{if(!n.has(s.pointerId))return;let a=i();n.set(s.pointerId,{x:s.
clientX,y:s.clientY});let u=i(),[p,d]=[u.x-a.x,u.y-a.y];r+=Math.hypot(p,d)+Math.abs(u.apart-a.apart),!(r<5)&&(ne||(ne=!0,e.setPointerCapture(
s.pointerId),e.classList.add("moving")),n.size>1&&a.apart>0&&t.zoom(u.apart/a.apart,t.at(u.x,u.y)),t.pan(p,d))});let o=s=>{n.delete(s.pointerId),
n.size===0&&e.classList.remove("moving")};for(let s of["pointerup","pointercancel","lostpointercapture"])e.addEventListener(s,o);e.addEventListener(
"pointerleave",s=>{e.hasPointerCapture(s.pointerId)||o(s)});for(let s of["touchstart","touchmove"])e.addEventListener(s,a=>{a.touches.length>
1&&a.cancelable&&a.preventDefault()},{passive:!1});e.addEventListener("wheel",s=>{let a=s.timeStamp-ve<300,u=t.isWhole&&s.deltaY>0&&!s.ctrlKey;
if(a||u)return;s.preventDefault();let p=s.deltaY*(s.deltaMode===1?16:s.deltaMode===2?400:1),d=Math.exp(-Math.max(-200,Math.min(200,p))*(s.ctrlKey?
.01:.002));t.zoom(d,t.at(s.clientX,s.clientY))},{passive:!1}),e.addEventListener("keydown",s=>{if(s.ctrlKey||s.metaKey||s.altKey)return;let a={
"+":()=>t.zoom(1.4),"=":()=>t.zoom(1.4),"-":()=>t.zoom(1/1.4),0:()=>t.whole(),ArrowLeft:()=>t.pan(60,0),ArrowRight:()=>t.pan(-60,0),ArrowUp:()=>t.
pan(0,60),ArrowDown:()=>t.pan(0,-60)}[s.key];a&&(s.preventDefault(),a())})},ve=-300;document.addEventListener("scroll",t=>{t.target===document&&
(ve=t.timeStamp)},{passive:!0});var We=null,V=()=>We??=JSON.parse(document.getElementById("facts")?.textContent??""),ze=t=>{let e=[],n=0;for(let r of t.split(" ")){let[i,o="\
1"]=r.split("*");for(let s=Number(o);s>0;s--)e.push(n+=Number(i))}return e},xe=t=>t===""?[]:t.split("|").map(e=>{let n=e.indexOf(":");return[
e.slice(0,n),ze(e.slice(n+1))]}),I=t=>{let e=V().pieces[t-1];if(!e)return null;let[n,r,i,o,s,a,u]=e;return{id:t,run:n,layer:r,from:i,to:o,walls:u,
marks:()=>xe(s),nails:()=>xe(a).map(([p,d])=>{let[h=0,f=0]=p.split("x").map(Number);return{name:V().nails[h]??"",count:f,at:d}})}},ce=(t,e)=>{
let n=e?"lower":"upper",r=new Set;V().pieces.forEach(([i,o,s,a],u)=>{i===t.run&&o===n&&s<t.to-.01&&a>t.from+.01&&r.add(u+1)});for(let[i,[o,...s]]of V().
ties)o===void 0||i!=="lap"&&i!=="notch"||(e&&o===t.id&&s.forEach(a=>r.add(a)),!e&&s.includes(t.id)&&r.add(o));return[...r].sort((i,o)=>i-o)},
Le=t=>{let e=V().runs[t-1];if(!e)return null;let[n,r,i,o,s,a]=e;return{storey:a,half:s,at:(u,p)=>[n+i*u+o*p,r+o*u-i*p]}},Y=t=>{let e=V().walls[t-
1];if(!e)return null;let[n,r,i]=e;return{run:n,words:r,source:i}},ke=()=>V().pieces.map((t,e)=>e+1);var de=new Map,N=new Map,Se=[],G=null,D=null,me=[],Pe=()=>{for(let t of document.querySelectorAll(".stage .plates [data-p]"))de.set(Number(t.
dataset.p),t);for(let t of document.querySelectorAll("tr[data-p]"))N.set(Number(t.dataset.p),t);for(let t of document.querySelectorAll("svg.\
plan")){let[e,n]=[K("path",{class:"halo under"}),K("path",{class:"halo held"})];t.querySelector(".world")?.append(e,n),Se.push({svg:t,under:e,
held:n})}},se=(t,e,n)=>{if(t===null)return;N.get(t)?.classList.toggle(e,n);let r=de.get(t),i=r&&Se.find(o=>o.svg===r.ownerSVGElement);i&&(n?
i[e].setAttribute("d",r.getAttribute("d")??""):i[e].removeAttribute("d"))},A=(t,e)=>{if(!(t!==null&&!N.has(t))){se(G,"held",!1),G=t,se(G,"he\
ld",!0);for(let n of me)n({held:G,under:D,from:e})}},H=t=>{if(t!==D){se(D,"under",!1),D=t,se(D,"under",!0);for(let e of me)e({held:G,under:D,
from:"pointer"})}},Me=t=>{let e=[...N.keys()],n=G===null?-1:e.indexOf(G),r=n<0?t>0?0:e.length-1:(n+t+e.length)%e.length,i=e[r];i!==void 0&&A(
i,"key")},q=()=>G,pe=t=>t===null?void 0:de.get(t),B=t=>N.get(t),O=t=>N.get(t)?.querySelector("th bdi")?.textContent??"",Ce=t=>{me.push(t)},Te=()=>[
...N.keys()];var M,$e=t=>{M=v(t,".card")},E=(t,e,...n)=>{n.length!==0&&t.append(y("dt",e),y("dd",null,...n))},Ae=t=>t.flatMap((e,n)=>{let r=y("a",O(e));return r.
href=`#P${e}`,r.className="to-piece",n===0?[r]:[", ",r]}),Re=t=>t.flatMap((e,n)=>{let r=Y(e)?.source??[],i=[n===0?"":"; ",`W${e}`];return r.
slice(0,4).forEach(([o,s],a)=>{i.push(a===0?": ":", ",y("code",o)," on ",$(s))}),r.length>4&&i.push(` and ${r.length-4} more`),i}),Ke=t=>{if(t.
layer==="bottom")return["the floor"];if(t.layer==="lower")return["the studs"];let e=ce(t,!0);return e.length?Ae(e):["nothing drawn"]},je=()=>{
let t=y("button","Close");return t.type="button",t.className="close",t},re=(t,...e)=>{M.replaceChildren(...e),t&&M.append(je()),M.classList.
toggle("pinned",t),M.hidden=!1},_=()=>{M.hidden=!0,M.classList.remove("pinned"),M.replaceChildren()},W=t=>t?[...t.cloneNode(!0).childNodes]:
[],fe=(t,e)=>{let[n,r]=[I(t),B(t)];if(!n||!r)return _();let[i,o,s,a,u,p,d]=r.cells,h=y("h3");h.append($(O(t))," ",y("small",i?.querySelector(
"small")?.textContent));let f=y("dl");E(f,"Plate",...W(o),` of R${n.run}`),E(f,"Length",...W(s)),E(f,"Ends",...W(a)),u&&!u.matches(".none")&&
E(f,"Notches",...W(u)),E(f,"Check",...W(p));let x=new Map;for(let{name:b,count:S,at:T}of n.nails()){let[R,z]=x.get(b)??[0,[]];x.set(b,[R+S*T.
length,[...z,`${S} in ${ee(T.length,"place")}`]])}for(let[b,[S,T]]of x)E(f,"Nails",`${S}: ${T.join(", ")}; `,$(b));let w=n.marks().map(([b,S])=>ee(
S.length,b));if(w.length&&E(f,"Marked",w.join(", ")),E(f,"Stands on",...Ke(n)),n.layer==="lower"){let b=ce(n,!1);b.length&&E(f,"Under",...Ae(
b))}E(f,"Board",...W(d)),E(f,"Drawn as",...Re(n.walls)),re(e,h,f)},X=(t,e)=>{let n=y("ul");for(let i of t.slice(0,6)){let o=document.getElementById(
`f${i}`);if(!o)continue;let s=y("a",`${i}`);s.href=`#f${i}`;let a=o.closest("article")?.querySelector("h3")?.textContent?.trim().split(":")[0]??
"",u=o.querySelector("bdi")?.textContent??"";n.append(y("li","",s,` ${a}: `,$(u)))}let r=t.length-6;re(e,y("h3",t.length===1?"Finding":ee(t.
length,"finding")),n,...r>0?[y("p",`and ${r} more here`)]:[])},Fe=t=>{let e=Y(t);if(!e)return _();let n=y("dl");E(n,"Wall",`${e.words}, in R${e.
run}`),E(n,"Drawn as",...Re([t])),re(!1,y("h3",`W${t}`),n)},Ge=(t,e)=>{let n=y("dl");E(n,"Layer",$(t)),E(n,e?"Left out":"Read",$(e||"became \
part of a wall or an opening")),re(!1,y("h3","Line of the drawing"),n)},oe=(t,e)=>{let n=M.parentElement?.getBoundingClientRect();n&&(M.classList.
toggle("high",e>n.top+n.height/2),M.classList.toggle("right",t<n.left+n.width/2))},Ve=t=>{let e=B(t);if(!e)return"";let[,n,r,i]=e.cells;return[
O(t),n?.textContent,r?.querySelector("strong")?.textContent,i?.textContent].map(o=>(o??"").trim()).join(", ")};var ge=12,_e=null,ye=t=>t.trim().toLowerCase(),Xe=()=>_e??=Te().flatMap(t=>{let e=I(t);if(!e)return[];let n=e.walls.flatMap(o=>(Y(o)?.source??
[]).map(([s])=>s)),r=[O(t),`P${t}`],i=[...e.walls.map(o=>`W${o}`),`R${e.run}`,...n];return[{id:t,fact:e,own:r.map(ye),all:i.map(ye)}]}),Ue=(t,e)=>t.
own.includes(e)?0:t.all.includes(e)?1:t.own.some(n=>n.startsWith(e))?2:t.own.some(n=>n.includes(e))?3:null,Je=t=>{let e=ye(t);return e===""?
[]:Xe().flatMap(n=>{let r=Ue(n,e);return r===null?[]:[{name:n,rank:r}]}).sort((n,r)=>n.rank-r.rank||n.name.id-r.name.id).map(n=>n.name)},Ne=(t,e)=>{
let n=v(t,"#find"),r=v(t,"#found"),i=v(t,".hits"),o=v(t,".find"),s=[],a=()=>{i.hidden=!0,i.replaceChildren()},u=()=>{s=Je(n.value);let d=s.length-
ge;r.textContent=n.value.trim()===""?"":s.length===0?"Nothing by that name":`${s.length} found${d>0?`, the first ${ge} listed`:""}`,i.replaceChildren(
...s.slice(0,ge).map(({id:h,fact:f})=>{let x=y("button");x.type="button",x.dataset.id=String(h);let w=f.walls.map(b=>`W${b}`).join(" ");return x.
append($(O(h)),` P${h}, ${f.layer}, R${f.run} ${w}`),y("li",null,x)})),i.hidden=s.length===0},p=d=>{let h=d?.querySelector("button");return h&&
h.focus(),h!=null};n.addEventListener("input",u),n.addEventListener("keydown",d=>{let h=s[0];d.key==="Enter"&&h?(e(h.id),a()):d.key==="Arrow\
Down"&&!i.hidden?(d.preventDefault(),p(i.firstElementChild)):d.key==="Escape"&&a()}),i.addEventListener("keydown",d=>{let h=L(d)?.closest("l\
i");d.key==="ArrowDown"?(d.preventDefault(),p(h?.nextElementSibling)):d.key==="ArrowUp"?(d.preventDefault(),p(h?.previousElementSibling)||n.
focus()):d.key==="Escape"&&(a(),n.focus())}),i.addEventListener("click",d=>{let h=L(d)?.closest("button");h&&(e(Number(h.dataset.id)),a(),n.
focus())}),document.addEventListener("pointerdown",d=>{o.contains(L(d))||a()})};var ie=1.5,qe,He=new Set,le=t=>Math.round(t*100)/100,k=(t,e=!1)=>t.map(([n,r],i)=>`${i?"L":"M"}${le(n)} ${le(r)}`).join("")+(e?"z":""),Ze=(t,e,n)=>{
let r=o=>[e(o-ie/2,-n),e(o+ie/2,-n),e(o+ie/2,n),e(o-ie/2,n)];return{stud:o=>{let[s,a,u,p]=r(o);return k([s,a,u,p],!0)+k([s,u])+k([a,p])},corner:o=>{
let[s,a,u,p]=r(o);return k([s,a,u,p],!0)+k([s,u])+k([a,p])+k([e(o,-n),e(o,n)])},king:o=>{let[s,a,u,p]=r(o);return k([s,a,u,p],!0)+k([s,u])},
trimmer:o=>k(r(o),!0),tee:o=>k([e(o,-n*1.35),e(o,n*1.35)]),opening:o=>k([e(o,-n),e(o,n)]),anchor:o=>k([0,1,2,3,4,5,6,7].map(s=>e(o+.8*Math.cos(
s*Math.PI/4),.8*Math.sin(s*Math.PI/4))),!0)}[t]},et=(t,e)=>{let n=(r,i)=>e.at(t.from+r,i);return t.marks().map(([r,i])=>{let o=Ze(r,n,e.half);
return o?i.map(o).join(""):""}).join("")},tt=(t,e)=>t.nails().map(({count:n,at:r})=>r.map(i=>{let o="";for(let s=0;s<n;s++){let[a,u]=e.at(t.
from+i,e.half*(2*(s+.5)/n-1));o+=`M${le(a)} ${le(u)}h0`}return o}).join("")).join(""),nt=t=>{if(He.has(t))return;He.add(t);let e=new Map;for(let n of ke()){
let r=I(n),i=r&&Le(r.run);if(!i)continue;let o=`${i.storey} ${r.layer}`,s=e.get(o)??{id:`s${i.storey}-${t}`,layer:r.layer,d:""};s.d+=(t==="s\
tuds"?et:tt)(r,i),e.set(o,s)}for(let{id:n,layer:r,d:i}of e.values())document.getElementById(n)?.append(K("path",{class:r,d:i}))},U=(t,e)=>{e&&
(t==="studs"||t==="nails")&&nt(t),qe.classList.toggle(`no-${t}`,!e),document.body.classList.toggle(`with-${t}`,e);let n=document.querySelector(
`.layers input[value="${t}"]`);n&&(n.checked=e)},Oe=t=>{qe=t;for(let e of document.querySelectorAll(".layers input"))U(e.value,e.checked),e.
addEventListener("change",()=>U(e.value,e.checked))};var rt=()=>{let t=document.querySelector(".stage");if(!t||!t.querySelector("svg.plan"))return;document.documentElement.classList.add("script\
ed");let e=v(document,".panel"),n=v(document,".tools"),r=v(t,".spoken"),i=new Map,o=new Map;for(let l of t.querySelectorAll("svg.plan")){let c=new te(
l);i.set(l.dataset.storey,l),o.set(l,c),c.onPaint=()=>s(pe(q())),Ee(c)}Pe(),$e(t),Oe(t);let s=l=>{if(!l)return;let c=l.getBoundingClientRect();
oe(c.left+c.width/2,c.top+c.height/2)},a=null,u=l=>{a=l;for(let m of i.values())m.classList.toggle("away",m!==l);let c=n.querySelector(`.sto\
reys input[value="${l.dataset.storey}"]`);c&&(c.checked=!0)},p=n.querySelector(".storeys input:checked"),d=i.get(p?.value)??[...i.values()][0];
d&&u(d),n.querySelector(".storeys")?.addEventListener("change",l=>{let c=i.get(l.target.value);c&&u(c)});let h=l=>{let c=l.ownerSVGElement;c&&
(u(c),requestAnimationFrame(()=>{o.get(c)?.show(l.getBBox()),s(l)}))},f=()=>t.scrollIntoView({block:"nearest"}),x=l=>{if(!l||e.scrollHeight<=
e.clientHeight+1)return;let c=m=>{let[g,P]=[l.getBoundingClientRect(),e.getBoundingClientRect()],C=g.top-P.top-(P.height-g.height)/2;Math.abs(
C)>1&&(e.scrollTop+=C),m>0&&requestAnimationFrame(()=>c(m-1))};c(6)},w=null;Ce(({held:l,under:c,from:m})=>{m!=="pointer"&&(w=null);let g=c??
l;if(g!==null?fe(g,g===l):w?X(w,!0):_(),m==="pointer"||(r.textContent=l===null?"Nothing selected":Ve(l),l===null))return;m!=="row"&&x(B(l));
let P=pe(l);m!=="plan"&&P&&h(P)});let b=()=>{w=null,A(null,"key")},S=l=>{for(let c of document.querySelectorAll("li.held"))c.classList.remove(
"held");l?.classList.add("held")},T=(l,c)=>{A(null,"pin"),w=l,X(l,!0);let m=document.getElementById(`f${l[0]}`);S(m),m&&x(m);for(let g of t.
querySelectorAll(".pin.held"))g.classList.remove("held");c.classList.add("held"),r.textContent=m?.querySelector("bdi")?.textContent??""},R=l=>(l.
dataset.f??"").split(" ").map(Number),z=l=>[...t.querySelectorAll(".pin")].find(c=>R(c).includes(l)),J=l=>l.dataset.l&&e.querySelector(`tr[d\
ata-l="${l.dataset.l}"] bdi`)?.textContent||"",F=l=>{let c=l?.closest("[data-p]");return c?Number(c.dataset.p):null};t.addEventListener("poi\
nterover",l=>{if(l.pointerType==="touch"||t.querySelector("svg.moving"))return;let c=L(l);if(!c||c.closest(".card"))return;oe(l.clientX,l.clientY);
let m=F(c);if(H(m),m!==null)return;let g=c.closest(".pin"),P=c.closest("[data-w]"),C=c.closest(".drawn path"),Z=q();g?X(R(g),!1):P&&Z===null&&
!w?Fe(Number(P.dataset.w)):C&&Z===null&&!w?Ge(C.dataset.layer??"",J(C)):Z!==null?fe(Z,!0):w?X(w,!0):_()}),t.addEventListener("pointerleave",
()=>H(null)),t.addEventListener("click",l=>{let c=L(l);if(!c)return;if(c.closest(".card")){c.closest(".close")&&(b(),a?.focus({preventScroll:!0}));
return}let m=c.closest(".pin");if(m&&l.preventDefault(),we())return;if(m)return T(R(m),m);let g=F(c);if(g===null)return b();oe(l.clientX,l.clientY),
A(g===q()?null:g,"plan")}),t.addEventListener("keydown",l=>{if(l.key==="Escape")return b();if(!L(l)?.matches("svg.plan")||l.ctrlKey||l.metaKey||
l.altKey)return;let c=l.key.toLowerCase();if(c==="n"||c==="p")Me(c==="n"?1:-1);else if(l.key==="Enter"&&q()!==null)B(q()??0)?.querySelector(
"a")?.focus();else return;l.preventDefault()}),e.addEventListener("pointerover",l=>{l.pointerType!=="touch"&&H(F(L(l)))}),e.addEventListener(
"pointerleave",()=>H(null)),e.addEventListener("focusin",l=>H(F(L(l)))),e.addEventListener("focusout",()=>H(null)),e.addEventListener("keydo\
wn",l=>{l.key==="Escape"&&b()}),document.addEventListener("click",l=>{let c=L(l)?.closest("a.to-piece");c&&(l.preventDefault(),A(Number(c.hash.
slice(2)),"link"))}),e.addEventListener("click",l=>{let c=L(l),m=c?.closest("a");if(m?.matches(".to-piece"))return;if(m?.matches(".go")){let C=z(
Number(m.dataset.f));return C?(l.preventDefault(),U("pins",!0),T([Number(m.dataset.f)],C),h(v(C,".spot")),f()):void 0}let g=F(c);if(g!==null)
return m&&(l.preventDefault(),f()),getSelection()?.isCollapsed===!1?void 0:A(g===q()&&!m?null:g,"row");let P=c?.closest("tr[data-l]");P&&(m&&
(l.preventDefault(),f()),Q(P))});let Q=l=>{let c=l.classList.contains("held");for(let g of document.querySelectorAll("tr[data-l].held, .draw\
n .held"))g.classList.remove("held");if(c)return;let m=t.querySelectorAll(`.drawn [data-l="${l.dataset.l}"]`);m.length!==0&&(l.classList.add(
"held"),m.forEach(g=>g.classList.add("held")),U("drawn",!0))};n.addEventListener("click",l=>{let c=a&&o.get(a);if(!c)return;({in:()=>c.zoom(
1.5),out:()=>c.zoom(1/1.5),whole:()=>c.whole()})[L(l)?.closest("[data-zoom]")?.dataset.zoom??""]?.()}),Ne(n,l=>A(l,"search"));let be=()=>{let[
,l,c]=/^#([Pf])(\d+)$/.exec(location.hash)??[];l==="P"&&A(Number(c),"link"),l==="f"&&S(document.getElementById(`f${c}`))};addEventListener("\
hashchange",be),be()};rt();})();
