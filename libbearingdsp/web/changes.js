// The chart of changes is drawn already; the page adds its numbers.

class Changes {
  constructor(figure, changes) {
    const title = 'Save all values as CSV';
    const button = make('button', {type: 'button', title, 'aria-label': title}, 'CSV');
    button.addEventListener('click', () => saveAs(fileName(changes.title), csvOf(
      ['level', 'before', 'after', 'unit', named(changes.x), `random scatter up to +/- / ${changes.x.unit}`, 'larger than the scatter', `effect of the work itself up to +/- / ${changes.x.unit}`],
      changes.rows.map(([name, before, after, unit, change, chance, beyond, harmless]) =>
        [name, before, after, unit, Number(change.toPrecision(6)), Number(chance.toPrecision(6)), beyond ? 'yes' : 'no', harmless > 0 ? Number(harmless.toPrecision(6)) : '']))));
    figure.querySelector('.static').before(make('div', {class: 'tools', role: 'group', 'aria-label': changes.title}, button));
  }
}
