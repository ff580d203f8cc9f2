// Dialogs that come up from the bottom edge of a phone and stand in the middle of a desk's screen.
import { h } from './dom.js';

let count = 0;

// Opens one with a heading; `content(close)` makes what is in it. Closes by Escape, beside it, and by close().
export function openSheet(title, content, kind = '') {
  const id = `sheet-${count += 1}`;
  const dialog = h('dialog', { class: `sheet ${kind}`, 'aria-labelledby': id });
  const close = () => dialog.close();
  dialog.append(h('h2', { id }, title), ...[content(close)].flat(Infinity).filter(Boolean));
  dialog.addEventListener('close', () => dialog.remove());
  dialog.addEventListener('click', (event) => { if (event.target === dialog) close(); });
  document.body.append(dialog);
  dialog.showModal();
  return dialog;
}

export function field(name, label, attributes, tag = 'input') {
  const id = `field-${name}`;
  return h('p', { class: 'field' }, h('label', { for: id }, label), h(tag, { id, name, ...attributes }));
}

// A dialog with a form. send(FormData) returns what the daemon answered, or nothing when it was refused: then the form
// stays as it is. after(answer, close) may show more instead of closing.
export function openForm(title, { hint, fields, button, send, after }) {
  return openSheet(title, (close) => h('form', {
    'aria-label': title,
    onsubmit: async (event) => {
      event.preventDefault();
      const form = event.currentTarget;
      const submit = form.querySelector('button[type=submit]');
      submit.disabled = true;
      const answer = await send(new FormData(form)).finally(() => { submit.disabled = false; });
      if (!answer) return;
      if (after) after(answer, close, form); else close();
    },
  }, hint && h('p', { class: 'hint' }, hint), fields,
  h('div', { class: 'row' }, h('button', { type: 'submit', class: 'main' }, button),
    h('button', { type: 'button', onclick: close }, 'Cancel'))));
}

// Which batch it is for, where several could be meant.
export function batchField(batches) {
  if (batches.length === 1) return h('input', { type: 'hidden', name: 'batch', value: batches[0].id });
  return h('p', { class: 'field' }, h('label', { for: 'field-batch' }, 'Which batch'),
    h('select', { id: 'field-batch', name: 'batch' }, batches.map((batch) => h('option', { value: batch.id }, `${batch.name} · ${batch.vessel}`))));
}

export const batchPath = (id) => `/v1/batches/${encodeURIComponent(`#${id}`)}`;
