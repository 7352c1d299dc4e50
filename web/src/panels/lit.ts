// A point under the pointer or the focus is lit up wherever it is drawn: in its row,
// in the picture and in the plan. One rule of style does it,
// so that nothing is drawn anew.

export function lightUp(): void {
  const sheet = new CSSStyleSheet();
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
  let lit = "";
  const light = (e: Event): void => {
    const now = (e.target instanceof Element ? e.target.closest("[data-pt]")?.getAttribute("data-pt") : null) ?? "";
    if (now === lit) return;
    lit = now;
    sheet.replaceSync(/^\d+$/.test(lit) ? `[data-pt="${lit}"]{--lit:1}
.lrow[data-pt="${lit}"]{background:var(--raised);--ink-2:var(--ink-2r)}
.pd[data-pt="${lit}"] .plate{fill:#f9f9f9}.pd[data-pt="${lit}"] text{fill:#111}
.pd[data-pt="${lit}"] .over{stroke-width:2.4;opacity:1}
.pt[data-pt="${lit}"]{display:block;visibility:visible}
.pt[data-pt="${lit}"] path{stroke:var(--ink-0);stroke-width:2.4}
.pt[data-pt="${lit}"] text{fill:var(--ink-0)}` : "");
  };
  for (const kind of ["pointerover", "focusin"]) document.addEventListener(kind, light);
}
