// Moves and zooms a chart: two fingers zoom, one moves sideways (up and down still scrolls the page), the wheel with Ctrl
// or Shift zooms, dragging with the mouse zooms into what was dragged over (uPlot's own), keys do all of these.
//   range(): [from, to] now;  move(from, to): shows that;  whole(): shows everything;  point(x): reads at x pixels, or
//   null;  step(n): reads n readings further
export function gestures(over, { range, move, whole, point, step }) {
  const fingers = new Map();
  let begun = null;

  const xOf = (event) => event.clientX - over.getBoundingClientRect().left;
  const timeAt = (x, [from, to]) => from + (x / over.clientWidth) * (to - from);

  function begin() {
    const xs = [...fingers.values()];
    begun = { range: range(), xs, moved: false };
  }
  over.addEventListener('pointerdown', (event) => {
    if (event.pointerType === 'mouse') return;
    fingers.set(event.pointerId, xOf(event));
    over.setPointerCapture(event.pointerId);
    begin();
    point(xOf(event));
  });
  over.addEventListener('pointermove', (event) => {
    if (!fingers.has(event.pointerId) || !begun) return;
    fingers.set(event.pointerId, xOf(event));
    const xs = [...fingers.values()];
    const [from, to] = begun.range;
    if (xs.length === 1) {
      const by = begun.xs[0] - xs[0];
      if (!begun.moved && Math.abs(by) < 8) return;
      begun.moved = true;
      const shift = (by / over.clientWidth) * (to - from);
      move(from + shift, to + shift);
    } else if (xs.length === 2 && begun.xs.length === 2) {
      begun.moved = true;
      // The times under the two fingers stay under them.
      const [a, b] = begun.xs.map((x) => timeAt(x, begun.range));
      const apart = xs[1] - xs[0];
      if (Math.abs(apart) < 10) return;
      const perPixel = (b - a) / apart;
      if (perPixel <= 0) return;
      const left = a - xs[0] * perPixel;
      move(left, left + over.clientWidth * perPixel);
    }
  });
  const end = (event) => {
    if (!fingers.delete(event.pointerId)) return;
    if (fingers.size > 0) begin();
    else begun = null;
  };
  over.addEventListener('pointerup', end);
  over.addEventListener('pointercancel', end);

  over.addEventListener('wheel', (event) => {
    if (!event.ctrlKey && !event.shiftKey) return;
    event.preventDefault();
    zoom(event.deltaY + event.deltaX > 0 ? 1.25 : 0.8, xOf(event) / over.clientWidth);
  }, { passive: false });

  function zoom(factor, at = 0.5) {
    const [from, to] = range();
    const centre = from + (to - from) * at;
    move(centre - (centre - from) * factor, centre + (to - centre) * factor);
  }
  function shift(share) {
    const [from, to] = range();
    move(from + (to - from) * share, to + (to - from) * share);
  }

  const keys = {
    ArrowLeft: (event) => (event.shiftKey ? shift(-0.25) : step(-1)),
    ArrowRight: (event) => (event.shiftKey ? shift(0.25) : step(1)),
    PageUp: () => step(-20),
    PageDown: () => step(20),
    '+': () => zoom(0.6),
    '=': () => zoom(0.6),
    '-': () => zoom(1 / 0.6),
    Home: () => whole(),
    Escape: () => whole(),
  };
  return {
    zoom,
    onkey(event) {
      const act = keys[event.key];
      if (!act || event.ctrlKey || event.metaKey || event.altKey) return;
      event.preventDefault();
      act(event);
    },
  };
}
