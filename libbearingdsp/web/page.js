// Makes the pictures as they come into view, so that the first is there at once.

(function start() {
  const data = JSON.parse(document.getElementById('data').textContent);
  const made = [];
  const make = (figure) => {
    const {plot, map, changes} = figure.dataset;
    if (changes !== undefined) {
      new Changes(figure, data.changes[Number(changes)]);
      return;
    }
    made.push(plot !== undefined
      ? new Plot(figure, data.plots[Number(plot)])
      : new MapView(figure, data.maps[Number(map)], data.shades));
    if (made.length === 1) performance.mark('first-picture');
  };
  const seen = new IntersectionObserver((entries) => {
    for (const entry of entries) {
      if (!entry.isIntersecting) continue;
      seen.unobserve(entry.target);
      make(entry.target);
    }
  }, {rootMargin: '300px'});
  const [first, ...others] = document.querySelectorAll('figure');
  if (first) make(first);
  for (const figure of others) seen.observe(figure);
  // Tables in closed sections have their width when they are opened.
  const wide = new ResizeObserver((entries) => {
    for (const {target} of entries) target.classList.toggle('scrolls', target.scrollWidth > target.clientWidth + 1);
  });
  for (const table of document.querySelectorAll('.wide')) wide.observe(table);
  // Colours of a canvas do not follow the page's by themselves.
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => {
    for (const view of made) view.redraw();
  });
})();
