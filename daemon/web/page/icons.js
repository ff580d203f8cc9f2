// Signs of one stroke width, drawn on 24 by 24.
import { svg } from './dom.js';

const shapes = {
  sample: 'M9 3v6l-4.5 8.5A2.4 2.4 0 0 0 6.6 21h10.8a2.4 2.4 0 0 0 2.1-3.500L15 9V3M7.500 3h9M7.200 14.500h9.600',
  note: 'M5 19l1-4L16.500 4.500l3 3L9 18zM14.500 6.500l3 3M5 21.500h14',
  more: 'M5 12h.01M12 12h.01M19 12h.01',
  down: 'M12 4v16M6 14l6 6 6-6',
  up: 'M12 20V4M6 10l6-6 6 6',
  level: 'M4 12h16M14 6l6 6-6 6',
  close: 'M6 6l12 12M18 6L6 18',
};

export function icon(name, kind = '') {
  return svg('svg', { class: `icon ${kind} i-${name}`, viewBox: '0 0 24 24', 'aria-hidden': 'true', focusable: 'false' },
    svg('path', { d: shapes[name] }));
}
