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

  // Search: what does not hold all words is hidden.
  const field = document.getElementById('search');
  const found = document.getElementById('found');
  const pieces = all(document, 'main tbody tr, main details, main p, main pre, main figure, main .block')
    .filter((piece) => !piece.closest('footer') && (piece.tagName === 'DETAILS' || !piece.closest('details')))
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
