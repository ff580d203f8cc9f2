#include "reports/report_style.h"

namespace gyle {

std::string_view report_style() {
  return R"(
:root { color-scheme: light dark; --paper: #fbfaf7; --ink: #1f2328; --soft: #4b5056; --rule: #c9c5bb;
  --link: #12467f; --care: #7a2e00; --caring: #fdf1e7; }
@media (prefers-color-scheme: dark) {
  :root { --paper: #16191c; --ink: #e8e6e1; --soft: #b7bbbf; --rule: #454a50; --link: #9cc3f0;
    --care: #ffc9a3; --caring: #2b211a; }
  figure svg { filter: invert(0.9) hue-rotate(180deg); }
}
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 50rem; padding: 1.5rem 1rem 3rem; background: var(--paper); color: var(--ink);
  font: 1.0625rem/1.5 system-ui, sans-serif; overflow-wrap: break-word; }
h1, h2, h3 { font-family: Georgia, "DejaVu Serif", serif; line-height: 1.2; margin: 2rem 0 0.6rem; font-weight: 600; }
h1 { font-size: 2rem; margin-top: 0; }
h2 { font-size: 1.4rem; }
h3 { font-size: 1.15rem; }
p, ul, ol, dl, table, figure { margin: 0 0 1rem; }
a { color: var(--link); }
.soft, figcaption, footer { color: var(--soft); font-size: 0.94rem; }
figure { border: 1px solid var(--rule); padding: 0.5rem; background: #fff; }
@media (prefers-color-scheme: dark) { figure { background: #1a1a1a; } }
figure svg { display: block; width: 100%; min-width: 30rem; height: auto; }
figcaption { padding-top: 0.4rem; }
@media (prefers-color-scheme: light) { figcaption { color: #4b5056; } }
dl.figures { display: grid; grid-template-columns: repeat(auto-fit, minmax(14rem, 1fr)); gap: 0.9rem 1.5rem; }
dl.figures dt { color: var(--soft); font-size: 0.94rem; }
dl.figures dd { margin: 0; font-size: 1.15rem; font-variant-numeric: tabular-nums; }
dl.figures small { display: block; color: var(--soft); font-size: 0.88rem; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; }
caption { text-align: left; color: var(--soft); padding-bottom: 0.3rem; }
th, td { text-align: left; vertical-align: top; padding: 0.35rem 0.9rem 0.35rem 0; border-bottom: 1px solid var(--rule); }
th { font-weight: 600; }
ol.time { list-style: none; padding: 0; border-left: 2px solid var(--rule); }
ol.time li { padding: 0 0 0.45rem 0.9rem; display: grid; grid-template-columns: 9.5rem 1fr; }
@media (max-width: 30rem) { ol.time li { display: block; } }
ol.time time, .alerts time { display: block; color: var(--soft); font-size: 0.94rem; }
.alerts { list-style: none; padding: 0; }
.alerts li { padding: 0.6rem 0; border-bottom: 1px solid var(--rule); }
.care { background: var(--caring); color: var(--care); padding: 0.7rem 1rem; border-left: 4px solid currentColor; }
.care ul { margin: 0; padding-left: 1.1rem; }
footer { border-top: 1px solid var(--rule); margin-top: 2.5rem; padding-top: 0.8rem; }
@page { margin: 16mm 15mm; }
@media print {
  :root { --paper: #fff; --ink: #000; --soft: #333; --rule: #999; --link: #000; --care: #000; --caring: #fff; }
  :root { font-size: 9.5pt; }
  body { max-width: none; padding: 0; font-size: 1.05rem; }
  dl.figures { grid-template-columns: repeat(3, 1fr); gap: 0.6rem 1.2rem; }
  h1 { font-size: 20pt; }
  h2 { font-size: 14pt; }
  h3 { font-size: 11.5pt; }
  a { text-decoration: none; }
  figure { background: #fff; border: 0; padding: 0; max-width: 16cm; }
  figure svg { filter: none; min-width: 0; }
  .wide { overflow: visible; }
  nav { display: none; }
  h1, h2, h3, caption { break-after: avoid; }
  figure, tr, li, .care, dl.figures > div { break-inside: avoid; }
  figure ~ article { break-before: page; }
}
)";
}

}  // namespace gyle
