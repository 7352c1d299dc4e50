var Q=class{constructor(t,n=[]){this.text=t;this.kept=n}text;kept;toString(){return this.text}},Se=e=>/<(input|select|textarea)/.test(e);var ft={"&":"&amp;","<":"&lt;",">":"&gt;",'"':"&quot;"},gt=e=>e.replace(/[&<>"]/g,t=>ft[t]??t);function Ee(e,t){if(e===!1||e===null||e===void 0)return"";if(e instanceof Q)return e.kept.length&&t.push(...e.kept),e.text;if(typeof e=="number")return String(e);if(typeof e=="string")return gt(e);let n="";for(let s of e)n+=Ee(s,t);return n}var Me=new WeakMap;function $t(e){let t=Me.get(e);return t||(t=e.map(n=>n.replace(/(^|>)[ ]*\n\s*/g,"$1").replace(/[ ]*\n\s*(?=<|$)/g,"").replace(/[ ]*\n\s*/g," ")),Me.set(e,t)),t}function o(e,...t){let n=$t(e),s=n[0]??"",a=[];for(let r=0;r<t.length;r++)s+=Ee(t[r],a)+(n[r+1]??"");return new Q(s,a)}var ee=new WeakSet,ie=document.createElement("template");function re(e){let t=e.getAttribute("data-css");if(!(t===null||!(e instanceof HTMLElement||e instanceof SVGElement)))for(let n of t.split(";")){let s=n.indexOf(":");s>0&&e.style.setProperty(n.slice(0,s).trim(),n.slice(s+1).trim())}}var bt=e=>{if(e instanceof Element){e.hasAttribute("data-css")&&re(e);for(let t of e.querySelectorAll("[data-css]"))re(t)}},wt=(e,t)=>e.nodeType===t.nodeType&&e.nodeName===t.nodeName&&(!(e instanceof Element)||!(t instanceof Element)||e.getAttribute("data-key")===t.getAttribute("data-key"));var j=new Map;function Ae(e,t){if(e instanceof SVGElement&&e.isEqualNode(t))return;let n=e.getAttribute("data-own");for(let a of e.getAttributeNames())!t.hasAttribute(a)&&a!=="style"&&e.removeAttribute(a);let s=!1;for(let a of t.getAttributeNames()){let r=t.getAttribute(a)??"";e.getAttribute(a)!==r&&(e.setAttribute(a,r),a==="data-css"&&(s=!0))}if(s&&re(e),e instanceof HTMLInputElement&&t instanceof HTMLInputElement){if(e.type==="checkbox")e.checked=t.hasAttribute("checked");else{if(t.hasAttribute("data-own")&&n===t.getAttribute("data-own"))return;if((document.activeElement!==e||!ee.has(e)||e.type==="range")&&e.value!==t.value){let a=document.activeElement===e&&e.type==="text"&&e.selectionEnd===e.value.length;e.value=t.value,a&&e.select()}}return}if(Pe(e,t),e instanceof HTMLSelectElement){let a=[...e.options].find(r=>r.hasAttribute("selected"))?.value??e.options[0]?.value??"";e.value!==a&&(e.value=a)}e instanceof HTMLTextAreaElement&&(document.activeElement!==e||!ee.has(e))&&e.value!==e.defaultValue&&e.id!=="text"&&(e.value=e.defaultValue)}var Te=e=>e instanceof Element?`${e.nodeName} ${e.getAttribute("data-key")??""}`:e.nodeName;function vt(e,t){let n=new Map,s=new Map,a=new Set;for(let r=e;r;r=r.nextSibling){let d=Te(r),l=n.get(d);l?l.push(r):n.set(d,[r])}for(let r=t;r;r=r.nextSibling){let d=le(r)??n.get(Te(r))?.shift();d&&!a.has(d)&&(s.set(r,d),a.add(d))}for(;e;){let r=e.nextSibling;a.has(e)||e.parentNode?.removeChild(e),e=r}return s}var le=e=>e instanceof Element&&e.hasAttribute("data-same")?j.get(e.getAttribute("data-key")??""):void 0;function Pe(e,t){let n=e.firstChild,s=t.firstChild,a=null;for(;s;){let r=s.nextSibling,d=le(s)!==void 0;!a&&!(d?le(s)===n:n&&wt(n,s))&&(a=vt(n,s),n=kt(e,n,a));let l=a?a.get(s):n;if(!l){bt(s),e.insertBefore(s,n),s=r;continue}if(l!==n)if(l.parentNode===e&&l.contains(document.activeElement))for(;n&&n!==l;){let c=n.nextSibling;e.removeChild(n),n=c}else e.insertBefore(l,n);l===n&&(n=n?.nextSibling??null),d||(l instanceof Element&&s instanceof Element?Ae(l,s):l.nodeValue!==s.nodeValue&&(l.nodeValue=s.nodeValue)),s=r}for(;n;){let r=n.nextSibling;e.removeChild(n),n=r}}var kt=(e,t,n)=>{if(!t||t.parentNode===e)return t;let s=new Set(n.values());for(let a of e.childNodes)if(s.has(a))return a;return null},Ne=new WeakMap;function de(e,t,n){let s="",a=0;for(let r=0;r<t.length;r++){let d=t[r];if(!d||!n(d))continue;let l=e.indexOf(d.text,a);s+=e.slice(a,l)+d.stub,a=l+d.text.length,r+=d.inner}return s+e.slice(a)}function Le(e,t){return ie.innerHTML=t?`<svg xmlns="http://www.w3.org/2000/svg">${e}</svg>`:e,t?ie.content.firstElementChild:ie.content}function Ie(e){for(let t of e.querySelectorAll("[data-key]")){let n=t.getAttribute("data-key")??"";j.has(n)||j.set(n,t)}}function yt(e,t,n,s){let a=[],r=t.kept;for(let l=0;l<r.length;l++){let c=r[l];if(c){if(n.kept.get(c.key)!==c.text){let f=e.querySelector(`[data-key="${CSS.escape(c.key)}"]`);if(!f)return!1;c.inner&&Ie(f),a.push({k:c,e:f,text:de(c.text,r.slice(l+1,l+1+c.inner),p=>n.kept.get(p.key)===p.text&&j.has(p.key))})}l+=c.inner}}let d=Le(a.map(l=>l.text).join(""),s);return d?.childNodes.length!==a.length?!1:([...d.childNodes].forEach((l,c)=>{let f=a[c];f&&l instanceof Element&&Ae(f.e,l)}),!0)}function Ve(e,t,n=!1){let s=Ne.get(e),a=f=>f&&!n,r=a(Se(t.text));if(s?.text===t.text&&!r)return;let d=e instanceof SVGElement,l=document.activeElement,c=de(t.text,t.kept,()=>!0);if(j.clear(),!s||r||s.frame!==c||!yt(e,t,s,d)){s&&t.kept.length&&Ie(e);let f=Le(de(t.text,t.kept,p=>s?.kept.get(p.key)===p.text&&!a(p.fields)&&j.has(p.key)),d);f&&Pe(e,f)}Ne.set(e,{text:t.text,kept:new Map(t.kept.map(f=>[f.key,f.text])),frame:c}),j.clear(),l instanceof HTMLElement&&!l.isConnected&&xt(e,l)}function xt(e,t){let n=t.getAttribute("data-key"),s=n?e.querySelector(`[data-key="${CSS.escape(n)}"]`):null;if(!s)return;s.focus({preventScroll:!0});let a=r=>r instanceof HTMLTextAreaElement||r instanceof HTMLInputElement&&r.type!=="checkbox"&&r.type!=="range";!a(t)||!a(s)||(ee.has(t)&&(s.value=t.value,ee.add(s)),s.setSelectionRange(t.selectionStart,t.selectionEnd))}var q=["1","1.4","2","2.8","4","5.6","8","11","16","22"],te=(e,t)=>2**((e+t/10)/2);function ne(e){let t=Math.round(20*Math.log2(Math.max(e,.01))),n=Math.min(q.length-1,Math.max(0,Math.floor(t/10)));return[n,Math.min(9,Math.max(0,t-10*n))]}function F(e){if(!(e>0))return o`<span class="fn">–</span>`;let t=Math.round(20*Math.log2(e));if(t<0||t>99)return o`<span class="fn"><i>f/</i>${e<1?e.toFixed(2):Math.round(e)}</span>`;let[n,s]=ne(e);return o`<span class="fn" role="img" aria-label="f/${q[n]} and ${s} tenths"><i>f/</i>${q[n]}
    <sup>${s}</sup></span>`}var ce=(e,t)=>2*Math.log2(e/t);function V(e){let t=Math.round(e*10)/10;return(t<0?"\u2212":t>0?"+":"\xB1")+Math.abs(t).toFixed(1)}var K=e=>String(e).padStart(2,"0"),E=e=>`${K(Math.floor(e/3600)%24)}:${K(Math.floor(e/60)%60)}`;function ae(e){let t=Math.abs(Math.round(e)),n=Math.floor(t/3600);return(e<0?"+":"")+(n>0?`${n}:${K(Math.floor(t/60)%60)}:${K(t%60)}`:`${K(Math.floor(t/60))}:${K(t%60)}`)}function v(e){let t=Math.max(0,Math.round(e/1e3));return t<90?`${t} s`:t<5400?`${Math.round(t/60)} min`:`${Math.round(t/3600)} h`}var R=e=>e.replace(/ - /g," \u2212 ");var T=location.pathname.startsWith("/floor"),pe=T?"/api/floor":"/api",k=class extends Error{constructor(n,s,a){super(a);this.status=n;this.code=s}status;code},ue=()=>localStorage.getItem("half")??"",Ce=()=>T||ue()!=="",He=()=>localStorage.removeItem("half");async function W(e,t,n,s=8e3){let a=new AbortController,r=setTimeout(()=>a.abort(),s);try{let d={"Halfstop-Device":ue()};n!==void 0&&(d["Content-Type"]="application/json");let l=t==="/floor"||t.startsWith("/floor?")?pe.replace(/\/floor$/,"")+t:pe+t,c=await fetch(l,{method:e,headers:d,signal:a.signal,cache:"no-store",credentials:"same-origin",...n===void 0?{}:{body:JSON.stringify(n)}}),f=await c.text();if(!c.ok){let p={code:"",error:"the program answers "+c.status};try{p=JSON.parse(f)}catch{}throw new k(c.status,p.code,p.error)}return JSON.parse(f)}finally{clearTimeout(r)}}async function Oe(e,t,n){let s=await fetch(`${pe}/frame?id=${encodeURIComponent(e)}&kind=${t}&number=${n}`,{headers:{"Halfstop-Device":ue()},credentials:"same-origin"});if(!s.ok)throw new k(s.status,"","no picture");let a=await s.blob();return await new Promise((r,d)=>{let l=new FileReader;l.onload=()=>r(String(l.result)),l.onerror=d,l.readAsDataURL(a)})}async function je(e,t){let n=await W("POST","/pair",{code:e,name:t});return localStorage.setItem("half",n.half),n}function qe(e){return e?W("GET",`/floor?since=${e.version}&run=${encodeURIComponent(e.run)}`,void 0,2e4):W("GET","/floor")}var Mt=44;function Fe(e,t){let n=p=>120-p*Mt,s=Math.max(-2.5,Math.min(2.5,e)),a=[-2,-1,0,1,2].map(p=>o`<path d="M36 ${n(p)}H104" stroke="var(--hair)" stroke-dasharray="1.5 3"/>
    <text x="28" y="${n(p)+4}" text-anchor="end" font-size="11" fill="var(--ink-2)">
    ${p===0?"0":(p>0?"+":"\u2212")+Math.abs(p)}</text>`),r=36,d=p=>n(0)+(n(s)-n(0))*(p-36)/68,l=t.reduce((p,u)=>p+u.share,0)||1,c=t.map(p=>{let u=p.share/l*68,H=o`<path d="M${r} ${d(r)-5}L${r+u} ${d(r+u)-5}v10L${r} ${d(r)+5}Z" fill="${p.colour}"/>`;return r+=u,H}),f=e===0?"as predicted":`${Math.abs(e).toFixed(1)} stops ${e>0?"brighter":"darker"} than predicted`;return o`<svg viewBox="0 0 116 240" preserveAspectRatio="xMaxYMid meet" role="img" aria-label="${f}">
    <path d="M36 8V232M104 8V232" stroke="var(--line)"/>${a}${c}
    <circle cx="104" cy="${n(s)}" r="7" fill="var(--well)" stroke="var(--ink-0)" stroke-width="2"/></svg>`}function De(e,t){let n=e.outline.map(m=>m[0]),s=e.outline.map(m=>m[1]);if(n.length<3)return o``;let a=[Math.min(...n),Math.min(...s)],r=[Math.max(...n),Math.max(...s)],d=360/Math.max(r[0]-a[0],.1),l=22,c=m=>Math.round((l+(m-a[0])*d)*10)/10,f=m=>Math.round((l+(r[1]-m)*d)*10)/10,p=(r[1]-a[1])*d+2*l,u=[],H=(m,w,y,x)=>{let S=y.length*7.6,P=m+S>380,O=P?m-12-S:m+12,B=()=>u.some(([I,Y,ht])=>I<O+S&&O<Y&&Math.abs(ht-w)<16);for(let I=0;I<12&&B();I++)w+=16;return u.push([O,O+S,w]),o`<text x="${P?m-12:m+12}" y="${w+4}" text-anchor="${P?"end":"start"}" font-size="14"
      font-weight="${x?600:400}" fill="${x?"var(--ink-0)":"var(--ink-1)"}">${y}</text>`},pt=e.lights.map(m=>{let w=t!==""&&m.mine.includes(t),y=c(m.at[0]),x=f(m.at[1]),S=m.aim[0]-m.at[0],P=m.aim[1]-m.at[1],O=Math.hypot(S,P)||1,B=Math.max(10,m.width*d)/2,I=S/O,Y=-P/O;return o`<path d="M${y} ${x}l${I*30} ${Y*30}" stroke="var(--line-2)" stroke-dasharray="9 3 1.5 3"/>
      <path d="M${y-Y*B} ${x+I*B}L${y+Y*B} ${x-I*B}" stroke="var(--ink-0)"
        stroke-width="${w?6:2}"/>
      ${w?o`<circle cx="${y}" cy="${x}" r="9" fill="none" stroke="var(--ink-0)" stroke-width="2"/>`:""}
      ${H(y,x-12,`${m.name} ${m.height.toFixed(2)} m`,w)}`}),ut=e.camera&&e.aim?(()=>{let m=c(e.camera[0]),w=f(e.camera[1]),y=Math.atan2(-(e.aim[1]-e.camera[1]),e.aim[0]-e.camera[0]),x=(S,P)=>`${m+P*Math.cos(y+S)} ${w+P*Math.sin(y+S)}`;return o`<path d="M${m} ${w}L${x(-.35,26)}M${m} ${w}L${x(.35,26)}" stroke="var(--ink-1)"/>
    ${H(m,w,"camera",!1)}`})():"",mt=e.sitter?o`<circle cx="${c(e.sitter[0])}" cy="${f(e.sitter[1])}" r="${.24*d}"
    fill="none" stroke="var(--ink-1)" stroke-width="1.4"/>`:"";return o`<svg viewBox="0 0 ${360+2*l} ${p}" role="img" aria-label="the setup from above">
    <path d="M${e.outline.map(m=>`${c(m[0])} ${f(m[1])}`).join("L")}Z"
      fill="none" stroke="var(--ink-1)" stroke-width="4"/>${mt}${ut}${pt}</svg>`}var $=(e,t)=>e.view!==null&&(e.view.me.role==="lead"||t==="crew"&&e.view.me.role==="crew"),_=e=>e.view?e.view.clock+(performance.now()-e.got)/1e3:0,Z=(e,t,n,s)=>e.waiting.some(a=>a.kind===t&&a.subject===n&&(s===void 0||a.text===s));function me(e){return e.view?.tasks.find(t=>!t.done&&!Z(e,"tick",t.id)&&(e.mine===""||t.people.includes(e.mine)))}var Be=(e,t)=>t.set!==void 0||Z(e,"dial",t.light,t.want),St=(e,t)=>e.people?`Point ${(e.view?.points.indexOf(t)??0)+1}`:t.name;function Ke(e){let t=e.view,s=t?.setups[t.setup]?.name??(e.people?void 0:t?.title)??"Floor";return o`<header class="top${e.lost?" lost":""}"><h1>${s}</h1>
    <span class="who">${e.people?"":e.mine||t?.me.name||""}${e.waiting.length>0?o` · ${e.waiting.length} to send`:""}</span>
<span class="age"><b>${t?E(_(e)):""}</b>
  ${e.lost?"no link, ":""}${t?v(performance.now()-e.heard)+" old":e.lost?"":"\u2026"}</span>
  ${e.screen==="pair"?"":o`<button data-act="more">More</button>`}</header>`}function Et(e,t){let n=t.setups[t.setup];if(!n||!n.end)return o`<section class="cd"><div class="row"><span>
    ${t.setup<0&&t.setups.length>0?"All pictures are taken":t.plan.problem||t.computing||"no plan yet"}</span></div></section>`;let s=_(e),a=n.end-s,r=t.setups.filter(p=>p.in&&!p.shot&&p.begin>n.begin)[0],d=s>=n.begin,l=Math.round(Math.min(100,Math.max(0,100*(s-n.begin)/Math.max(1,n.end-n.begin)))),c=t.tasks.find(p=>p.setup===n.name&&p.picture),f=Math.abs(d||a<0?a:n.begin-s)>=3600;return o`<section class="cd"><div class="row"><span>
    ${a<0?n.name+" is over by":d?n.name+" ends in":n.name+" begins in"}</span>
    <span class="end">${E(d?n.end:n.begin)}</span></div>
<div class="t${f?" long":""}" role="timer">${ae(d?a:n.begin-s)}</div><div class="bar">
  <i data-css="width:${l}%"></i></div>
<div class="row"><span>
  ${e.people||!c?"":`Slack ${Math.round(c.slack/60)} min`}${t.plan.late&&!e.people?`, ${Math.abs(t.plan.late)} min ${t.plan.late>0?"behind":"ahead"}`:""}</span><span class="end">
  ${r?`then ${r.name}, ${E(r.begin)}`:"the last one"}</span></div></section>`}function Tt(e,t){let n=me(e);return n?o`<section class="next"><div><p>${e.mine?"Next for you":"Next"}, ${E(n.start)} to ${E(n.end)}
    </p><h2>${n.text}</h2><p>
    ${[e.mine&&n.people.length<2||e.people?"":n.people.join(" + "),n.setup!==t.setups[t.setup]?.name?`for ${n.setup}`:"",n.caution??""].filter(Boolean).join(". ")}</p>
    </div><button class="big" data-act="tick" data-arg="${n.id}" ${$(e,"crew")?"":"disabled"}>Done</button>
    </section>`:o``}function Nt(e,t){let n=t.calls.filter(d=>!Z(e,"tick",`call ${d.seq}`)).map(d=>o`<section class="ask" data-key="call${d.seq}"><div class="do"><span>
    ${e.people?"Somebody asks for help":`${d.who}: ${d.text}`}<small>
    ${v(t.now+performance.now()-e.got-d.at)} ago</small></span>
    <button class="out" data-act="answer" data-arg="${d.seq}" ${$(e,"crew")?"":"disabled"}>I go</button>
    </div></section>`),s=t.plan.number>0&&t.plan.unseen.includes(t.me.name)?o`<section class="ask">
    <h2>The day was planned again at ${E(t.plan.made)}</h2>${e.people?"":o`<p>${t.plan.sentence}</p>`}
    <div class="do"><span>
    </span><button class="out" data-act="seen">Seen</button></div></section>`:"",a=e.people?void 0:t.proposal,r=a&&a.dials.length>0?o`<section class="ask" data-key="proposal">
    <h2>After ${a.from} reading${a.from===1?"":"s"}: ${a.cost}</h2>${a.old?o`<p>A newer reading is being worked in…</p>`:""}
${a.dials.map(d=>o`<div class="do"><span>${d.light} to ${R(d.now)}
  <small>was ${R(d.was)}, ${V(d.stops)} st</small></span>
  ${$(e,"lead")?o`<button class="out" data-act="take" data-arg="${d.light}" ${a.old?"disabled":""}>Take</button>`:""}</div>`)}
${a.then.filter(d=>d.wish||Math.abs(ce(d.then,d.now))>=.1).map(d=>o`<div class="th two"><span>
  ${d.name}</span><b>${F(d.now)} → ${F(d.then)}</b>${Math.abs(d.off)>=.1&&d.wish?o`<small>${V(d.off)} st from its wish</small>`:""}</div>`)}${a.short.map(d=>o`<p>${d}.</p>`)}
${$(e,"lead")&&a.dials.length>1?o`<div class="do"><span></span>
  <button class="big" data-act="takeall" ${a.old?"disabled":""}>Take all</button></div>`:""}</section>`:"";return o`${n}${s}${r}`}function At(e,t){let n=Be(e,t),s=e.mine!==""&&t.for.includes(e.mine),a=t.fixed?"":n?t.set?`${e.people?"set":t.set.who}, ${v((e.view?.now??0)+performance.now()-e.got-t.set.at)} ago`:"set, to be sent":t.was?`was ${R(t.was)}`:t.taken?"new":"by the plan";return o`<button class="li${s&&!n?" now":""}" role="checkbox"
    aria-checked="${String(n)}" data-act="dial" data-arg="${t.light}"
    data-key="d${t.light}" ${$(e,"crew")&&!t.fixed?"":"disabled"}>
      <span class="chip" data-css="background:${t.colour}"></span><span><span class="r">${t.light}</span>
      <span class="h">${t.words}</span></span><span class="s">${R(t.want)}<small>${a}</small></span>
      <span class="tick"></span></button>`}function he(e,t){let n=t.setups[t.setup],s=t.dials.filter(c=>!c.fixed),a=!!n&&n.end-_(e)<60&&n.end-_(e)>0,r=t.tasks.filter(c=>!c.done&&!Z(e,"tick",c.id)&&(e.mine===""||c.people.includes(e.mine))).slice(1,5),d=t.proposal?.next&&$(e,"crew")&&!e.people?o`<div class="th go"><span>Read next: <b>
    ${t.proposal.next}</b><br><small>it settles most</small></span><button class="out" data-act="readnext">Read it
    </button></div>`:"",l=a&&!t.calls.length;return o`<div class="main${a?" quiet":""}">${Et(e,t)}${Tt(e,t)}
    <div class="lst" tabindex="0" role="region" aria-label="dials and what follows">
    ${l?"":Nt(e,t)}${(e.people?[]:t.troubles).map(c=>o`<section class="ask"><p>${c}</p></section>`)}
<div class="sh"><h2>Dial in</h2><span>${s.filter(c=>Be(e,c)).length} of ${s.length} set</span>
  </div>${t.dials.filter(c=>!c.fixed).map(c=>At(e,c))}${l?"":o`${d}
${t.changes.length>0&&!e.people?o`<div class="sh"><h2>Since settings were taken</h2></div>
  ${t.changes.slice(0,5).map(c=>o`<div class="th"><b>${v(t.now+performance.now()-e.got-c.at)}</b>
  <span>${R(c.text)} <small>${c.who}</small></span></div>`)}`:""}
${r.length>0?o`<div class="sh"><h2>Then</h2></div>${r.map(c=>o`<div class="th"><b>${E(c.start)}
  </b><span>${c.setup&&c.setup!==n?.name?c.setup+": ":""}${c.text}</span></div>`)}`:""}
${t.cautions.length>0?o`<div class="sh"><h2>Mind</h2></div>${t.cautions.map(c=>o`<div class="th"><span>${c}
  </span></div>`)}`:""}`}</div>
<nav class="act"><button data-act="plan">Plan</button>
  <button data-act="help" ${$(e,"crew")?"":"disabled"}>Help</button>
  <button class="m" data-act="pad" ${$(e,"crew")&&t.points.length>0?"":"disabled"}>Log a reading</button>
  </nav></div>`}var se=(e,t)=>t===""?e.f:e.f*Math.sqrt(Math.max(0,e.lights.find(n=>n.light===t)?.share??0));function Re(e,t){let n=t.points.find(u=>u.name===e.point)??t.points[0];if(!n)return he(e,t);let s=te(e.key,e.tenths),a=se(n,e.alone),r=a>0,d=r?Math.round(ce(s,a)*10)/10:0,l=n.readings.find(u=>u.mine&&!u.old),c=n.differ?n.readings.filter(u=>!u.old).slice(0,2):[],f=e.alone?n.lights.filter(u=>u.light===e.alone):n.lights,p=n.readings.find(u=>u.doubt&&!u.old)?.doubt;return o`<div class="main"><div class="pt"><button data-act="step" data-by="-1">back</button><h2>
    ${St(e,n)}<small>${e.people?"":n.wish??""}</small></h2>
    <button data-act="step" data-by="1">next</button></div>
<div class="rd"><div class="a"><div class="pr">
  ${r?o`${e.alone?e.alone+" alone, ":""}predicted ${F(a)}`:t.computing?`working out ${t.computing}`:e.alone?`${e.alone} alone`:"no prediction"}</div><div class="fig">
  ${F(s)}</div><div class="df">
  ${r?o`${V(d)}<small>
  ${Math.abs(d)<.15?"agrees":d>0?"stop brighter than predicted":"stop darker than predicted"}
  </small>`:""}</div></div>${Fe(r?d:0,f)}</div>
<div class="why">${c.length===2?o`<b>Two readings, not the same.</b> ${c.map(u=>o`<div class="both"><span>
  ${F(u.f)} ${e.people?"":u.who+", "}${v(t.now+performance.now()-e.got-u.at)} ago</span>
  <button class="out" data-act="reverse" data-arg="${u.seq}">Strike</button></div>`)}`:p?o`<b>${p}
  </b>`:r&&Math.abs(d)>2?o`<b>Read again.</b> More than two stops out is usually a head that did not fire, or a meter set otherwise.`:l?o`<div class="both">
  <span>You read ${F(l.f)} ${v(t.now+performance.now()-e.got-l.at)} ago</span>
  <button class="out" data-act="reverse" data-arg="${l.seq}">Undo</button>
  </div>`:r?"Keep it: the next settings follow from it.":"Keep it: the program learns from it."}</div>
<div class="alone" role="group" aria-label="which lights are on">
  <button data-act="alone" data-arg="" aria-pressed="${String(e.alone==="")}">All lights</button>
  ${t.dials.filter(u=>!u.fixed).map(u=>o`<button data-act="alone" data-arg="${u.light}" aria-pressed="${String(e.alone===u.light)}">
  ${u.light} alone</button>`)}</div>
<div class="kl">f-number</div><div class="keys" role="group" aria-label="f-number">
  ${q.map((u,H)=>o`<button data-act="key" data-arg="${H}" aria-pressed="${String(H===e.key)}">${u}
  </button>`)}</div>
<div class="kl">tenths</div><div class="keys t" role="group" aria-label="tenths">
  ${[0,1,2,3,4,5,6,7,8,9].map(u=>o`<button data-act="tenth" data-arg="${u}" aria-pressed="${String(u===e.tenths)}">${u}</button>`)}</div>
<nav class="act two"><button data-act="main">Close</button><button class="m" data-act="keep">Keep reading</button>
  </nav></div>`}var fe=e=>(e.view?.tasks??[]).filter(t=>!t.done&&!t.picture&&t.end<=_(e)&&!Z(e,"tick",t.id)&&(e.mine===""||t.people.includes(e.mine)));function We(e,t){let n=fe(e).length,s=t.tasks.filter(a=>!a.done&&(e.mine===""||a.people.includes(e.mine)));return o`<div class="main">${t.place?o`<div class="plan" tabindex="0" role="region" aria-label="plan">
    ${De(t.place,e.mine)}</div>`:o`<p class="words">There is no plan to draw.</p>`}
<div class="lst" tabindex="0" role="region" aria-label="tasks">${e.people?"":o`<div class="sh">
  <h2>Whose tasks</h2></div><div class="grid2">
  <button data-act="mine" data-arg="" aria-pressed="${String(e.mine==="")}">All</button>
  ${t.plan.people.map(a=>o`<button data-act="mine" data-arg="${a}" aria-pressed="${String(e.mine===a)}">${a}
  </button>`)}</div>`}
<div class="sh"><h2>${e.mine?"My tasks":"Tasks"}</h2><span>${s.length} to do</span></div>
${n>1&&$(e,"crew")?o`<div class="in"><button class="out wide" data-act="upto">
  All ${n} that were to end by now are done</button></div>`:""}
  ${s.slice(0,30).map(a=>o`<div class="th"><b>${E(a.start)}</b><span>
  ${a.setup?a.setup+": ":""}${a.text} <small>${e.people?"":a.people.join(" + ")}</small></span></div>`)}
  </div>
<nav class="act one"><button data-act="main">Back</button></nav></div>`}function Ge(e,t,n){let s=["Hands here","Sandbag","Stand or clamp","Power, cable","Battery","Hold somebody up"];return o`<div class="main"><div class="lst" tabindex="0" role="region" aria-label="help and more">
${$(e,"crew")?o`<div class="sh"><h2>Ask for help</h2></div><div class="grid2">
  ${s.map(a=>o`<button data-act="call" data-arg="${a}">${a}</button>`)}</div><div class="in">
  <input id="callfor" data-own="callfor" placeholder="or say what" maxlength="120"
    aria-label="what help is for" enterkeyhint="send">
  <button class="out" data-act="callfor">Ask</button></div>${e.people?"":o`
<div class="sh"><h2>How late are we, minutes</h2><span>${t.plan.late?`said: ${t.plan.late} min`:""}</span></div>
  <div class="grid2 five">
  ${[0,5,10,15,30].map(a=>o`<button data-act="late" data-arg="${a}" aria-pressed="${String(t.plan.late===a)}">${a===0?"not":a}
  </button>`)}</div>`}`:""}
${$(e,"lead")&&!e.people?o`<div class="in">
  <input id="why" data-own="why" placeholder="why" maxlength="120"
    aria-label="why the day is planned again; all see it">
  <button class="out" data-act="replan">Plan again from now</button></div>`:""}
${t.plan.number>0&&!e.people?o`<p class="words"><b>Plan of ${E(t.plan.made)}
  </b>. Seen by ${t.plan.seen.join(", ")||"nobody yet"}${t.plan.unseen.length>0?o`; not yet by ${t.plan.unseen.join(", ")}`:""}.</p>`:""}
${e.people?"":o`<p class="words">${t.plan.problem??t.plan.sentence}</p>`}
${e.people?"":o`<div class="sh"><h2>Test frames</h2><span>${t.frames.length>0?`${t.frames.length} came`:t.watching?"none came yet":"no folder is watched"}</span></div>${t.frames.slice(0,1).map(a=>o`<p class="words"><b>${a.name}</b>, ${a.setup}: ${a.problem??a.text}</p>`)}<div class="in">
  <button class="out" data-act="frames" ${t.frames.length>0?"":"disabled"}>Show test frames</button></div>`}
${n}<div class="sh"><h2>This phone</h2></div><div class="grid2">
  <button data-act="people" aria-pressed="${String(e.people)}">People mode</button>
  <button data-act="theme">Light or dark</button></div>
<p class="words">People mode shows no names, notes, wishes or lateness, and no code to pair by,
  for when a sitter can see the screen. ${e.waiting.length>0?o`<b>
  ${e.waiting.length} of what you said waits to be sent;
  it is kept on this phone.</b>`:"All that you said is in the log."}</p></div>
<nav class="act one"><button data-act="main">Back</button></nav></div>`}function Je(e){return o`<div class="main pair"><h2>Pair this phone</h2>
    <p class="words">The desk shows a code, or a square to point the camera at. Each code works once.</p>
<label for="code">Code</label><div class="in">
  <input id="code" data-own="${e.code}" class="code" autocapitalize="characters" autocomplete="off"
    spellcheck="false" value="${e.code}">
  </div>
<label for="name">Your name, as the others see it</label><div class="in">
  <input id="name" data-own="name" maxlength="40" autocomplete="off" enterkeyhint="go"></div>
<div class="in"><button class="big" data-act="pair" ${e.busy?"disabled":""}>Pair</button></div>
  <p class="words" role="alert">${e.wrong}</p></div>`}var ze=e=>e.toast?o`<div class="toast"><span>${e.toast.text}</span>
  ${e.toast.undo?o`<button data-act="undo" data-arg="${e.toast.undo}">Undo</button>`:""}</div>`:o``;var X=new Map,ge=new Set,Ye=()=>{},_e=e=>{Ye=e};function Ze(e,t){let n=`${e.id} ${t} ${t==="photo"?0:e.pictures}`,s=X.get(n);return s!==void 0?s:(ge.has(n)||(ge.add(n),Oe(e.id,t,e.pictures).then(a=>{X.set(n,a),X.size>60&&X.delete(X.keys().next().value),Ye()},()=>ge.delete(n))),"")}var $e=(e,t,n)=>{let s=Ze(e,t);return o`<figure data-key="${e.id}${t}">${s?o`<img src="${s}" alt="${n}, ${e.name}">`:o`<div class="wait">…</div>`}<figcaption>${n}</figcaption></figure>`};function Pt(e,t){let n=Ze(t,"photo"),s=e.mark!==""&&$(e,"lead");if(!n)return $e(t,"photo","as photographed");let a=o`<img src="${n}" alt="as photographed, ${t.name}"><svg aria-hidden="true">${t.points.map(r=>o`<circle class="${r.name===e.mark?"on":""}" cx="${100*r.x}%" cy="${100*r.y}%" r="7"/>`)}</svg>`;return o`<figure data-key="${t.id}photo">${s?o`<button class="on" data-act="mark"
    aria-label="where ${e.mark} lies">${a}</button>`:o`<div class="on">${a}</div>`}
    <figcaption>${s?`press where ${e.mark} lies`:"as photographed"}</figcaption></figure>`}var Lt=e=>o`<div class="th"><b>${e.chance.toFixed(0)} in 100</b>
  <span>${e.light?e.light+": ":""}${e.text}${e.stops?`, ${V(e.stops)} st`:""}</span></div>`,Ue=e=>e<.004?"the same to the eye":`off by ${[[.1,"less than an eighth"],[.27,"an eighth"],[.53,"a quarter"],[.83,"a half"],[1.4,"a full"]].find(([t])=>e/.075<t)?.[1]??"more than a full"} correction`;function Xe(e,t){let n=t.frames.find(l=>l.id===e.frame)??t.frames[0],s=o`<div class="lst" tabindex="0" role="region" aria-label="test frames">`;if(!n)return o`<div class="main">${s}<p class="words">${t.watching?"No frame came yet. It is shown here as soon as its file is whole.":"No folder is watched. The desk chooses one, under More."}</p></div>
    <nav class="act one"><button data-act="more">Back</button></nav></div>`;let a=t.frames.indexOf(n),r=l=>t.frames[a+l]?.id??"",d=n.lights.filter(l=>l.on||l.stops>-3);return o`<div class="main"><div class="pt"><button data-act="frame" data-arg="${r(1)}" ${r(1)?"":"disabled"}>older</button><h2>${n.name}<small>${v(t.now+performance.now()-e.got-n.at)} ago${n.settings?`, ${n.settings}`:""}</small></h2><button data-act="frame" data-arg="${r(-1)}" ${r(-1)?"":"disabled"}>newer</button></div>${s}
${n.problem?o`<p class="words"><b>${n.problem}</b></p>`:o`<p class="words"><b>${n.text}</b>${n.working?o` <span>${n.doing} %</span>`:""}</p>`}
${(n.working||n.stopped)&&$(e,"lead")?o`<div class="in"><button class="out" data-act="stopframe"
  data-arg="${n.stopped?"on":""}">${n.stopped?"Go on":"Stop here"}</button></div>`:""}
${n.causes.map(Lt)}${n.notes.map(l=>o`<p class="words">${l}</p>`)}
${n.ready?o`<div class="shots">${Pt(e,n)}${$e(n,"predicted","as predicted")}
  ${$e(n,"difference","photographed over predicted, stops")}</div>
<div class="sh"><h2>Points</h2><span>against the prediction</span></div>${n.points.map(l=>o`<div class="th two">
  <span>${l.name}</span><b>${l.clip?"clips":l.floor?"in the floor":`${V(l.off)} st`}</b>
  <small>colour ${Ue(l.colour)}</small></div>`)}
${$(e,"lead")&&n.points.length>0?o`<div class="sh"><h2>A point lies elsewhere</h2><span>${n.marked??"choose it, then press where it lies"}</span></div><div class="grid2">${n.points.map(l=>o`<button
  data-act="markof" data-arg="${l.name}" aria-pressed="${String(e.mark===l.name)}">${l.name}</button>`)}</div>`:""}
${n.first?o`<p class="words">${n.clipped} % of the frame clips, ${n.floor} % lies over 7 stops under
  mid-grey.</p>`:o`<div class="sh"><h2>Lights</h2><span>against the prediction</span></div>
${d.map(l=>o`<div class="th two">
  <span>${l.light}</span><b>${l.told?l.dark?"dark":`${V(l.stops)} st`:"too little to tell"}</b>
  <small>${Math.round(100*l.share)} % of the light</small></div>`)}
<p class="words">${n.clipped} % of the frame clips, ${n.floor} % lies over 7 stops under mid-grey;
  ${n.rest} % of its light is not explained. Against the plan’s its white is ${Ue(n.white)}.</p>`}`:""}
${n.seq>0?o`<div class="sh"><h2>It is of</h2><span>${n.how}</span></div><div class="grid2">
  ${t.setups.map(l=>o`<button data-act="assign" data-arg="${l.name}"
  aria-pressed="${String(l.name===n.setup)}" ${$(e,"lead")?"":"disabled"}>${l.name}</button>`)}</div>`:""}
<div class="sh"><h2>The camera’s clock</h2><span>${t.camera===0?"as the program\u2019s":`${v(Math.abs(t.camera)*1e3)} ${t.camera>0?"behind":"ahead"}${t.camera_said?"":", by its frames"}`}
  </span></div>${$(e,"lead")?o`<div class="in"><input id="behind" data-own="behind" inputmode="numeric"
  placeholder="minutes behind, −3: ahead" maxlength="6" aria-label="minutes that the camera’s clock is behind">
  <button class="out" data-act="behind">Set</button></div>`:""}</div>
<nav class="act one"><button data-act="more">Back</button></nav></div>`}var oe=class{constructor(t){this.name=t}name;read(){try{let t=JSON.parse(localStorage.getItem(this.name)??"");if(Number.isSafeInteger(t.next)&&Array.isArray(t.list))return t}catch{}return{next:1,list:[]}}write(t){localStorage.setItem(this.name,JSON.stringify(t))}list(){return this.read().list}add(t,n){let s=this.read(),a=s.next;return this.write({next:a+1,list:[...s.list,{...t,number:a,said:n}]}),a}taken(t){let n=this.read();this.write({...n,list:n.list.filter(s=>s.number>t)})}drop(t,n){let s=this.read();return t<=n||s.list.at(-1)?.number!==t?!1:(this.write({next:t,list:s.list.slice(0,-1)}),!0)}follow(t){let n=this.read(),s=n.list[0];if(s&&s.number>t){let a=s.number-t;this.write({next:n.next-a,list:n.list.map(r=>({...r,number:r.number-a,...r.undo?{undo:r.undo>a?r.undo-a:r.undo}:{}}))})}else n.next<t&&!s?this.write({next:t,list:[]}):!s&&n.next>t&&this.write({next:t,list:[]})}};var h={view:null,said:"",setup:"",to:"",minutes:"10",fade:"3",end:"hold",live:!1,only:!0,multicast:!1,over:!1,priority:100},ve=50;async function G(e="",t){try{let n=await fetch(t===void 0?`/api/send?setup=${encodeURIComponent(h.setup)}`:"/api/send"+e,{cache:"no-store",...t===void 0?{}:{method:"POST",headers:{"Content-Type":"application/json"},body:JSON.stringify(t)}}),s=await n.json();n.ok?(h.view=s,t!==void 0&&(h.said="")):h.said=s.error??"it was not done"}catch{h.said="the program does not answer"}}var et=()=>({setup:h.setup,to:h.to,minutes:Number(h.minutes),fade:Number(h.fade),end:h.end,live:h.live,multicast:h.multicast,slots_only:h.only,priority:h.priority,limit:ve,over:h.over}),Qe=e=>e.map(t=>Math.round(t/2.55)).join(" "),It=e=>o`<div class="th two"><span>${e.light}: ${e.words}</span>
  <b>${e.jump>0?`by ${e.jump} %`:"no change"}</b><small>universe ${e.universe}, from slot ${e.address}:
  ${e.was.length>0?Qe(e.was):"not known"} → ${Qe(e.slots)} %</small></div>`,be=(e,t,n)=>o`<label class="words"
  for="send-${e}">${t}</label><div class="in"><input id="send-${e}" data-own="send" data-field="${e}"
  value="${h[e]}" placeholder="${n}" autocomplete="off" spellcheck="false"></div>`,we=(e,t)=>o`<button data-act="sendset" data-arg="${e}" aria-pressed="${String(h[e])}">${t}</button>`;function tt(e,t){let n=h.view,s=n?n.heads.filter(a=>a.jump>ve):[];return o`<div class="main"><div class="lst" tabindex="0" role="region" aria-label="networked heads">
<div class="sh"><h2>Send to networked heads</h2><span>ANSI E1.31</span></div><div class="grid2">
  ${t.setups.map(a=>o`<button data-act="sendof" data-arg="${a.name}"
  aria-pressed="${String(a.name===h.setup)}">${a.name}</button>`)}</div>
${n?o`${n.sending?o`<section class="ask"><h2>
  ${n.live?"Live":"As a preview"}: ${n.sending}, for ${ae((n.until??0)/1e3-Date.now()/1e3)}</h2>
  ${n.fault?o`<p>${n.fault}</p>`:""}<div class="do"><span></span>
  <button class="big" data-act="sendstop">Stop sending</button></div></section>`:""}
${n.left?o`<p class="words">${n.left}.</p>`:""}${n.problem?o`<p class="words"><b>${n.problem}</b></p>`:o`
<div class="sh"><h2>What changes</h2><span>
  ${n.heads.length} head${n.heads.length===1?"":"s"}</span></div>${n.heads.map(It)}
${n.unpatched.length>0?o`<p class="words">By hand: ${n.unpatched.join(", ")}.</p>`:""}
${n.heads.some(a=>a.was.length===0)?o`<p class="words">What the heads have now is not known. They are taken
  to be dark: a lit one goes dark first and comes up in the fade. With a fade of 0 it goes there at once.</p>`:""}
${be("to","Send to","192.0.2.10, 192.0.2.11")}${be("minutes","Armed for, minutes","10")}
${be("fade","Fade, seconds","3")}
<div class="sh"><h2>At the end</h2></div><div class="grid2">${[["hold","Leave the look"],["release","Release the heads"],["fade","Fade out"]].map(([a,r])=>o`<button data-act="sendend" data-arg="${a}"
  aria-pressed="${String(h.end===a)}">${r}</button>`)}</div>
<div class="grid2">${we("live","Live, not a preview")}${we("only","Claim these slots only")}
  ${s.length>0?we("over",`Over ${ve} % is meant`):""}</div>
<p class="words">Strobe, haze and movement are never driven. If this program ends or the link is lost, heads as a rule
  keep the last look. Tell whoever stands by a light before you send.</p>
<div class="in"><button class="big" data-act="sendarm">${n.sending?"Send this instead":"Arm and send"}</button>
  </div>`}`:o`<p class="words">${h.said?"":"Working out what each head would be sent."}</p>`}
<p class="words" role="alert">${h.said}</p></div>
<nav class="act one"><button data-act="more">Back</button></nav></div>`}var L={view:null,code:null,said:""};async function nt(e,t,n){try{let s=await fetch("/api/share"+t,{method:e,cache:"no-store",...n===void 0?{}:{headers:{"Content-Type":"application/json"},body:JSON.stringify(n)}}),a=await s.json();L.said=s.ok?"":a.error??"it was not done",s.ok&&t==="/code"?L.code=a:s.ok&&(L.view=a)}catch{L.said="the program does not answer"}}var Vt=e=>o`<div class="sh"><h2>Folder of test frames</h2>
  <span>${e.frames||"none"}</span></div><div class="in">
  <input id="folder" data-own="folder" placeholder="full path; empty: none"
    aria-label="folder to watch for test frames" autocomplete="off" spellcheck="false">
  <button class="out" data-act="folder">Watch</button></div>
  <p class="words">Photographs that come there are held against their prediction. Nothing is written there.</p>`;function at(e){return o`${L.view&&!e?Vt(L.view):""}<div class="sh"><h2>Networked heads</h2></div>
    <div class="in"><button class="out" data-act="send">Show what to send</button></div>${e?o`<p class="words">
    Sharing, codes and who is paired: when people mode is off.</p>`:Ct()}`}function Ct(){let{view:e,code:t,said:n}=L;return e?e.on?o`<div class="sh"><h2>Shared with phones</h2></div><p class="words"><b>${e.url??""}</b><br>${e.lacks??""}
    ${e.fingerprint?o`A phone's browser warns, because the certificate was made here. Its fingerprint (SHA-256)
    must be <b class="print">${e.fingerprint}</b>`:""}</p>
    <div class="grid2"><button data-act="code" data-arg="crew">Code for crew</button>
    <button data-act="code" data-arg="lead">Code for a lead</button>
    <button data-act="code" data-arg="look">Code to look only</button>
    <button data-act="share" data-arg="off">Stop sharing</button></div>
    ${t&&t.until>Date.now()?o`<p class="words"><img class="qr" src="${t.qr}" alt="the address with its code">
    <br>Code <b>${t.code.slice(0,5)} ${t.code.slice(5)}</b>, once, for ${v(t.until-Date.now())}</p>`:""}
    <p class="words" role="alert">${n}</p><div class="sh"><h2>Paired</h2><span>${e.devices.length}</span></div>
    ${e.devices.map(s=>o`<div class="in" data-key="dev${s.id}"><span class="words">
    <b>${s.name}</b>, ${s.role}, ${v(Date.now()-s.seen)} ago</span>
    <button class="out end" data-act="revoke" data-arg="${s.id}">Take out</button></div>`)}`:o`<div class="sh"><h2>Share with phones</h2></div>
    <p class="words">Opens this page, and nothing else of this machine, to phones in the same network,
      encrypted. Each phone
    pairs by a code that works once. It ends with the program.</p>
    <div class="in"><button class="big" data-act="share" data-arg="tls">Share</button>
    <button class="out" data-act="share" data-arg="plain">Share without encryption</button></div>
    <p class="words">Without encryption everybody on the network can read along, and could take a phone's place.</p>
    <p class="words" role="alert">${n}</p>`:o`<p class="words">${n||"\u2026"}</p>`}var A=document.getElementById("page"),rt=document.getElementById("say"),i={view:null,got:0,heard:performance.now(),wrong:"",lost:"",screen:Ce()?"main":"pair",mine:localStorage.getItem("mine")??"",people:localStorage.getItem("people")==="1",waiting:[],point:"",key:4,tenths:0,alone:"",toast:null,code:"",busy:!1,typed:"",frame:"",mark:""};document.documentElement.dataset.theme=localStorage.getItem("theme")??"booth";var b=null,ye=0,ke=!1,st=0,lt=()=>{T&&location.hash==="#more"&&(i.screen="more");let e=/[#&]pair=([A-Za-z0-9]+)/.exec(location.hash)?.[1];e!==void 0&&(history.replaceState(null,"",location.pathname),i.code=e,T||(i.screen="pair"))};function g(){i.waiting=b?.list()??[];let e=i.view;Ve(A,o`${Ke(i)}${i.screen==="pair"?Je(i):e?i.screen==="pad"?Re(i,e):i.screen==="plan"?We(i,e):i.screen==="frames"?Xe(i,e):i.screen==="send"?tt(i,e):i.screen==="more"?Ge(i,e,T?at(i.people):o``):he(i,e):o`<p class="words">
    ${i.lost||"Looking for the program\u2026"}
    </p>`}${ze(i)}`),A.dataset.screen=i.screen,A.dataset.link=i.lost?"lost":e?"live":"none",A.dataset.waiting=String(i.waiting.length),A.dataset.readings=e?.proposal&&!e.proposal.old?String(e.proposal.from):"",A.dataset.version=String(e?.version??0)}function M(e,t){i.toast={text:e,...t?{undo:t}:{}},rt.textContent=e,clearTimeout(st),st=window.setTimeout(()=>{i.toast=null,g()},6e3),g()}function N(e,t){if(!b)return;let n;try{n=b.add(e,Date.now())}catch{M("This phone keeps nothing (its storage is full or closed): it is not said");return}navigator.vibrate?.(10),t?M(t,n):g(),U()}async function U(){if(!(ke||!b)){ke=!0;try{for(let e=b.list();e.length>0;e=b.list()){let t=e.slice(0,50);ye=Math.max(ye,t.at(-1).number);let n=await W("POST","/say",{sent:Date.now(),entries:t});b.taken(n.upto);for(let s of n.refused)M("Not taken: "+s.why);if(n.upto<t[0].number)break}i.heard=performance.now(),i.lost=""}catch(e){e instanceof k&&e.status===409&&i.view?i.view=null:e instanceof k&&e.status===401?dt(e.message):e instanceof k&&M(e.message)}finally{ke=!1,g()}}}function dt(e){T||(He(),Object.assign(i,{view:null,screen:"pair",wrong:e,lost:""}),g())}var ot=e=>new Promise(t=>setTimeout(t,e));async function Ht(){for(let e=400;;){if(i.screen==="pair"&&!T){await ot(300);continue}try{let t=await qe(i.view),n=i.view===null;i.view=t,i.got=i.heard=performance.now(),i.lost="",e=400,b||(b=new oe("outbox."+t.me.id)),n&&b.follow(t.me.next),t.points.some(s=>s.name===i.point)||J(t.proposal?.point??t.points[0]?.name??""),g(),i.waiting.length>0&&U()}catch(t){if(t instanceof k&&t.status===401){dt(t.message);continue}i.lost=t instanceof k?t.message:"no link to the desk",g(),await ot(e),e=Math.min(4e3,e*1.6)}}}function J(e,t=""){i.point=e,i.alone=t;let n=i.view?.points.find(a=>a.name===e),s=n?se(n,t):0;s>0&&([i.key,i.tenths]=ne(s))}async function C(e,t,n){try{await W("POST",e,t),M(n)}catch(s){M(s instanceof k?s.message:"There is no link: this needs one. Try again when it is back")}}var z=(e,t)=>{nt(t===void 0?"GET":"POST",e,t).then(g)},D=e=>document.getElementById(e)?.value.trim()??"",ct={main:()=>{i.screen="main"},plan:()=>{i.screen="plan"},more:()=>{i.screen=i.screen==="more"?"main":i.screen==="pair"?"pair":"more"},send:()=>{let e=i.view;i.screen="send",h.setup||=e?.setups[Math.max(0,e.setup)]?.name??"",G().then(g)},sendof:e=>{h.setup=e,h.over=!1,G().then(g)},sendend:e=>{h.end=e},sendset:e=>{let t=e;h[t]=!h[t]},sendarm:()=>{G("",et()).then(g)},sendstop:()=>{G("/stop",{setup:h.setup}).then(g)},frames:()=>{i.screen="frames",i.frame=""},frame:e=>{e&&(i.frame=e)},assign:e=>{let t=i.view?.frames.find(n=>n.id===i.frame)??i.view?.frames[0];t&&C("/assign",{frame:t.id,setup:e},`${t.name} is of ${e}`)},stopframe:e=>{let t=i.view?.frames.find(n=>n.id===i.frame)??i.view?.frames[0];t&&C("/stopframe",{frame:t.id,on:e==="on"},e==="on"?"It goes on":"It is stopped")},markof:e=>{i.mark=i.mark===e?"":e,i.mark&&M(`Press where ${e} lies in the photograph`)},mark:(e,t,n)=>{let s=i.view?.frames.find(d=>d.id===i.frame)??i.view?.frames[0],a=t.getBoundingClientRect();if(!s||!i.mark||!n)return;if(n.detail===0){M("A key says no place: press it with a finger or a pointer");return}let r=i.mark;i.mark="",C("/mark",{frame:s.id,point:r,x:(n.clientX-a.x)/a.width,y:(n.clientY-a.y)/a.height},`${r} is marked: this frame and later ones are placed by it`)},behind:()=>{let e=Number(D("behind").replace("\u2212","-"));D("behind")===""||!Number.isFinite(e)?M("Give minutes, like 62, or \u22123"):C("/camera",{behind:Math.round(e*60)},"The camera\u2019s clock is set right")},folder:()=>z("/frames",{folder:D("folder")}),help:()=>{i.screen="more"},pad:()=>{i.screen="pad";let e=i.view?.proposal;e?.point&&e.from===0?J(e.point,e.alone):J(i.point)},readnext:()=>{let e=i.view?.proposal;e?.point&&(i.screen="pad",J(e.point,e.alone))},step:(e,t)=>{let n=i.view;if(!n)return;let s=n.points.length,a=n.points.findIndex(r=>r.name===i.point);J(n.points[(a+Number(t.dataset.by)+s)%s].name)},key:e=>{i.key=Number(e)},tenth:e=>{i.tenths=Number(e)},alone:e=>{let t=i.view?.points.find(r=>r.name===i.point),n=t?se(t,i.alone):0,[s,a]=ne(n);n>0&&s===i.key&&a===i.tenths?J(i.point,e):i.alone=e},keep:()=>{let e=i.view,t=e?.setups[e.setup];t&&(N({kind:"reading",setup:t.name,subject:i.point,value:te(i.key,i.tenths),unit:"f",...i.alone?{alone:i.alone}:{}},`Kept: ${i.people?"":i.point+" "}f/${q[i.key]} and ${i.tenths} tenths`),i.screen="main")},tick:e=>N({kind:"tick",subject:e,setup:me(i)?.setup??""},"Done: "+(i.view?.tasks.find(t=>t.id===e)?.text??e)),dial:e=>{let t=i.view,n=t?.dials.find(r=>r.light===e),s=t?.setups[t.setup];if(!n||!s)return;if(n.set){N({kind:"reversal",seq:n.set.seq},`${n.light} is not set`);return}let a=i.waiting.find(r=>r.kind==="dial"&&r.subject===e&&r.text===n.want);a?it(a.number):N({kind:"dial",setup:s.name,subject:e,text:n.want},`${e} set to ${n.want}`)},upto:()=>{let e=i.view,t=fe(i);if(!(!b||!e||t.length===0)){for(let n of t)b.add({kind:"tick",subject:n.id,setup:n.setup??""},Date.now());M(`${t.length} ticked`),U()}},undo:e=>{i.toast=null,it(Number(e))},reverse:e=>N({kind:"reversal",seq:Number(e)},"Struck; it stays in the log as struck"),answer:e=>N({kind:"tick",subject:"call "+e},"They see that you come"),seen:()=>{i.view&&C("/seen",{plan:i.view.plan.number},"Noted")},take:e=>{let t=i.view?.proposal;t&&C("/accept",{id:t.id,lights:[e]},`${e}: on its way to who sets it`)},takeall:()=>{let e=i.view?.proposal;e&&C("/accept",{id:e.id,lights:e.dials.map(t=>t.light)},"On their way to who sets them")},call:e=>N({kind:"note",text:e,call:!0},"Asked: "+e),callfor:()=>{let e=D("callfor");e&&(document.getElementById("callfor").value="",N({kind:"note",text:e,call:!0},"Asked: "+e))},late:e=>N({kind:"late",value:Number(e),unit:"min"},e==="0"?"Not late":e+" minutes late, said to all"),replan:()=>{C("/replan",{why:D("why")},"Planning the day again; all phones will show it")},mine:e=>{i.mine=e,localStorage.setItem("mine",e)},people:()=>{i.toast=null,rt.textContent="",i.people=!i.people,localStorage.setItem("people",i.people?"1":"")},theme:()=>{let e=document.documentElement.dataset.theme==="paper"?"booth":"paper";document.documentElement.dataset.theme=e,localStorage.setItem("theme",e)},pair:()=>{Ot()},share:e=>{L.code=null,z("",{on:e!=="off",plain:e==="plain"})},code:e=>z("/code",{role:e}),revoke:e=>z("/revoke",{id:e})};function it(e){if(b){if(b.drop(e,ye)){M("Taken back");return}N({kind:"reversal",undo:e},"Taken back; it stays in the log as struck")}}async function Ot(){if(i.busy)return;i.busy=!0,i.wrong="",i.code=D("code");let e=D("name");g();try{await je(i.code,e),b=null,Object.assign(i,{screen:"main",code:"",view:null})}catch(t){i.wrong=t instanceof k?t.message:"No link to the desk: is this phone in the same network?"}i.busy=!1,g()}A.addEventListener("click",e=>{let t=e.target.closest("[data-act]");!t||t.disabled||(ct[t.dataset.act]?.(t.dataset.arg??"",t,e),g())});A.addEventListener("input",e=>{let t=e.target,n=t instanceof HTMLInputElement?t.dataset.field:void 0;(n==="to"||n==="minutes"||n==="fade")&&(h[n]=t.value.trim())});A.addEventListener("keydown",e=>{if(e.key!=="Enter"||!(e.target instanceof HTMLInputElement))return;let t={code:"pair",name:"pair",callfor:"callfor",why:"replan",behind:"behind",folder:"folder"}[e.target.id];t&&(ct[t]("",e.target),g())});var xe=()=>{navigator.wakeLock?.request("screen").catch(()=>{})};document.addEventListener("visibilitychange",()=>{document.visibilityState==="visible"&&(xe(),g(),U())});A.addEventListener("pointerdown",xe,{once:!0});window.addEventListener("online",()=>{U()});window.addEventListener("hashchange",()=>{lt(),g()});lt();xe();g();setInterval(g,1e3);T&&setInterval(()=>{i.screen==="send"&&G().then(g)},1500);T&&(z(""),setInterval(()=>{i.screen==="more"&&z("")},3e3));setInterval(()=>{(b?.list().length??0)>0&&U()},3e3);_e(g);Ht();
