// The bar at the bottom edge: what is entered most, and the rest behind "More".
//
// An act is {key, title, icon, inBar, reads, offered(subject), open(subject)}, in a file of its own (act_*.js), and has its line
// in `acts`; one that only `reads` is offered to everybody. A subject is {batches, setPoint, vessel, links}: the batches that may be
// meant (one on the page of a batch, with its set point), an empty vessel, and what "More" lists besides, as [address, text,
// attributes].
import { h, replaceContent } from './dom.js';
import { icon } from './icons.js';
import { addition } from './act_addition.js';
import { correct } from './act_correct.js';
import { fill } from './act_fill.js';
import { note } from './act_note.js';
import { packageIt } from './act_package.js';
import { pitch } from './act_pitch.js';
import { sample } from './act_sample.js';
import { setPoint } from './act_set_point.js';
import { whatIf } from './act_whatif.js';
import { openSheet } from './sheet.js';
import * as show from './show.js';

const acts = [sample, note, addition, setPoint, packageIt, fill, whatIf, correct, pitch];

let subject = null;

const may = (one) => one.reads || !show.settings().read_only;

export function showBar(next) {
  subject = next;
  const place = document.getElementById('bar');
  const offered = next ? acts.filter((one) => may(one) && one.offered(next)) : [];
  const more = offered.some((one) => !one.inBar) || next?.links?.length > 0;
  const buttons = offered.filter((one) => one.inBar);
  place.hidden = buttons.length === 0 && !more;
  document.body.classList.toggle('has-bar', !place.hidden);
  replaceContent(place,
    buttons.map((one) => button(one.key, one.icon, one.title, () => one.open(subject))),
    more && button('more', 'more', 'More', openMore));
}

function button(key, sign, text, onclick) {
  return h('button', { type: 'button', 'data-key': `bar-${key}`, onclick }, icon(sign), h('span', null, text));
}

function openMore() {
  openSheet('More', (close) => [
    h('ul', { class: 'menu' },
      acts.filter((one) => !one.inBar && may(one) && one.offered(subject)).map((one) => h('li', null,
        h('button', { type: 'button', onclick: () => { close(); one.open(subject); } }, one.title))),
      (subject.links ?? []).map(([href, text, more]) => h('li', null, h('a', { href, onclick: close, ...more }, text)))),
    h('div', { class: 'row' }, h('button', { type: 'button', onclick: close }, 'Close')),
  ]);
}

// What can be done with an empty vessel.
export function vesselButtons(vessel) {
  if (show.settings().read_only) return [];
  return acts.filter((one) => one.forVessel?.(vessel)).map((one) => h('button', { type: 'button', class: 'main',
    'data-key': `${one.key}-${vessel.name}`, onclick: () => one.open({ batches: [], vessel }) }, one.title));
}
