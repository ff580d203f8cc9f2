// Makes elements; text of a person or a sensor is never read as markup.

// h('p', {class: 'x', onclick: f}, 'text', child, [more]): strings become text nodes; null and false are left out.
export function h(tag, properties, ...children) {
  return fill(document.createElement(tag), properties, children);
}

// The same for what an inline picture is made of.
export function svg(tag, properties, ...children) {
  return fill(document.createElementNS('http://www.w3.org/2000/svg', tag), properties, children);
}

function fill(element, properties, children) {
  for (const [name, value] of Object.entries(properties ?? {})) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith('on')) element.addEventListener(name.slice(2), value);
    else element.setAttribute(name, value === true ? '' : value);
  }
  element.append(...children.flat(Infinity).filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

// A name that somebody gave: its direction of writing stays its own.
export const bdi = (text) => h('bdi', null, text);

// A sentence in which such names occur.
export function named(text, ...names) {
  const known = names.filter(Boolean).sort((a, b) => b.length - a.length);
  for (const name of known) {
    const at = text.indexOf(name);
    if (at >= 0) return [...named(text.slice(0, at), ...known), bdi(name), ...named(text.slice(at + name.length), ...known)];
  }
  return text ? [text] : [];
}

// What stands between backticks is a command.
export const marked = (text) => text.split('`').map((part, i) => (i % 2 ? h('code', null, part) : part));

// Puts `next` where `place` has its content; focus and unfolded parts stay. Both are found
// by data-key. Nothing is touched when nothing has changed.
export function replaceContent(place, ...next) {
  const fresh = document.createElement('div');
  fresh.append(...next.flat(Infinity).filter(Boolean));
  for (const details of place.querySelectorAll('details[data-key]')) {
    const same = byKey(fresh, details.dataset.key);
    if (same) same.open = details.open;
  }
  if (fresh.innerHTML === place.innerHTML) return;
  const active = document.activeElement;
  const key = active && place.contains(active) ? active.dataset.key : undefined;
  place.replaceChildren(...fresh.childNodes);
  if (key) byKey(place, key)?.focus({ preventScroll: true });
}

function byKey(place, key) {
  return place.querySelector(`[data-key="${CSS.escape(key)}"]`);
}

let toastTimer;
// With `stays` until it is dismissed: what went wrong, and cautions.
export function toast(text, stays = false) {
  const place = document.getElementById('toast');
  clearTimeout(toastTimer);
  const hide = () => { place.hidden = true; };
  place.replaceChildren(h('span', null, text), ...(stays ? [h('button', { type: 'button', class: 'quiet', onclick: hide }, 'Close')] : []));
  place.classList.toggle('stays', stays);
  place.hidden = false;
  if (!stays) toastTimer = setTimeout(hide, 6000);
}
