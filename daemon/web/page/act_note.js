// What the brewer wants to remember.
import { query, whenField, whenOf } from './fields.js';
import { act } from './session.js';
import { batchField, batchPath, field, openForm } from './sheet.js';

export const note = {
  key: 'note',
  title: 'Note',
  icon: 'note',
  inBar: true,
  offered: ({ batches }) => batches.length > 0,
  open({ batches }) {
    openForm('Write a note', {
      hint: 'For you, later: what you smelled, saw or did.',
      fields: [batchField(batches), noteField(''), whenField()],
      button: 'Keep the note',
      send: (form) => act(`${batchPath(form.get('batch'))}/notes${query({ time: whenOf(form) })}`, { body: form.get('text').trim(), done: 'The note is kept.' }),
    });
  },
};

export function noteField(text) {
  const place = field('text', 'Note', { required: true, maxlength: 2000, rows: 4, autofocus: true, dir: 'auto' }, 'textarea');
  place.lastChild.value = text;
  return place;
}
