'use strict';
// Shows and hides what the book holds. No answer is worked out here.
(() => {
  const all = (where, what) => Array.from(where.querySelectorAll(what));
  const folds = all(document, 'details');

  // On paper every fold is open, on the screen those that are asked for.
  const set = (open) => folds.forEach((fold) => { fold.open = open; });
  set(false);
  let before = [];
  addEventListener('beforeprint', () => { before = folds.map((fold) => fold.open); set(true); });
  addEventListener('afterprint', () => folds.forEach((fold, at) => { fold.open = before[at]; }));

  // A link to a fold opens it.
  const follow = () => {
    const meant = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    const fold = meant && meant.closest('details');
    if (fold) { fold.open = true; meant.scrollIntoView(); }
  };
  addEventListener('hashchange', follow);
  follow();

  // The dates: each row knows the stops at which it stands.
  const slide = document.getElementById('stop');
  if (slide) {
    const beside = document.getElementById('beside');
    const differing = document.getElementById('differing');
    const shown = document.getElementById('shown');
    const said = document.getElementById('stopsaid');
    const names = all(beside, 'option').slice(1).map((option) => option.textContent);
    const rows = all(document, '#dates tr[data-on]').map((row) => ({
      row,
      only: row.querySelector('td.only'),
      on: row.dataset.on.split(' ').map((stretch) => stretch.split('-').map(Number)),
    }));
    const stands = ({ on }, stop) => on.some(([first, last]) => first <= stop && stop <= last);
    const show = () => {
      const stop = Number(slide.value);
      const other = beside.value === '' ? stop : Number(beside.value);
      let count = 0;
      for (const entry of rows) {
        const [here, there] = [stands(entry, stop), stands(entry, other)];
        const hidden = !(here || there) || (differing.checked && other !== stop && here && there);
        const only = here === there ? '' : here ? names[stop] : names[other];
        count += only === '' ? 0 : 1;
        if (entry.row.hidden !== hidden) entry.row.hidden = hidden;
        if (entry.only.textContent !== only) entry.only.textContent = only;
        entry.row.classList.toggle('differs', only !== '');
      }
      document.getElementById('dates').classList.toggle('two', other !== stop);
      shown.textContent = names[stop];
      slide.setAttribute('aria-valuetext', names[stop]);
      said.textContent = other === stop ? '' : `${names[stop]} beside ${names[other]}: ${count === 0 ? 'no row differs' : count === 1 ? '1 row differs' : `${count} rows differ`}`;
    };
    const step = (by) => { slide.value = String(Number(slide.value) + by); show(); };
    document.getElementById('earlier').addEventListener('click', () => step(-1));
    document.getElementById('later').addEventListener('click', () => step(1));
    for (const control of [slide, beside, differing]) control.addEventListener('input', show);
    show();
  }

  // Search: what does not hold all words is hidden.
  const field = document.getElementById('search');
  const found = document.getElementById('found');
  const pieces = all(document, 'main tbody tr, main details, main p, main pre, main figure, main .block')
    .filter((piece) => !piece.closest('footer, #dates') && (piece.tagName === 'DETAILS' || !piece.closest('details')))
    .map((piece) => ({ piece, text: piece.textContent.toLowerCase() }));
  const sheets = all(document, 'main > section');
  let waiting = 0;
  const search = () => {
    const words = field.value.toLowerCase().split(/\s+/).filter(Boolean);
    let count = 0;
    for (const { piece, text } of pieces) {
      const hit = words.every((word) => text.includes(word));
      count += hit && words.length ? 1 : 0;
      piece.classList.toggle('missed', !hit);
    }
    for (const sheet of sheets) {
      const hits = words.length === 0 || pieces.some(({ piece }) => sheet.contains(piece) && !piece.classList.contains('missed'));
      sheet.classList.toggle('missed', !hits);
    }
    document.body.classList.toggle('searching', words.length > 0);
    found.textContent = words.length === 0 ? '' : count === 0 ? 'Nothing found' : count === 1 ? '1 place found' : `${count} places found`;
  };
  field.addEventListener('input', () => { clearTimeout(waiting); waiting = setTimeout(search, 120); });
})();
