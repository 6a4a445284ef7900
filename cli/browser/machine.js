// What the page knows of the machine becomes a machine file, which the tool reads as it reads any other: one that was chosen, or
// one of the fields. What is right or wrong in it is said by the tool.
'use strict';
const machinePath = 'machine.toml';  // in the tool's own file system
const machineKeys = [['m-power', 'power_kw'], ['m-height', 'shaft_height_mm'], ['m-mounting', 'mounting'],
  ['m-driven', 'driven'], ['m-mains', 'line_frequency_hz'], ['m-poles', 'poles'], ['m-drive', 'drive']];
const machineFields = [...machineKeys.map(([id]) => id), 'm-other'];
const largestMachineFile = 200000;  // characters
let machineFile = null;  // {name, text, machines}, where one was chosen

// A number as TOML writes it; anything else as text, so that the tool says what is wrong with it.
const tomlValue = (text) => (/^\d+([.,]\d+)?$/.test(text) ? text.replace(',', '.') : JSON.stringify(text));
const typed = (id) => at(id).value.trim();
const otherEnd = (end) => (end === 'DE' ? 'NDE' : 'DE');

// Nothing, where no field is filled: then there is no machine.
function machineOfFields() {
  if (!machineFields.some((id) => typed(id))) return null;
  const end = at('m-end').value;
  const lines = ['[[machine]]', 'name = "machine"'];
  for (const [id, key] of machineKeys) if (typed(id)) lines.push(`${key} = ${tomlValue(typed(id))}`);
  if (typed('rpm')) lines.push(`rated_rpm = ${tomlValue(typed('rpm'))}`);
  for (const [where, id] of [[end, 'bearing'], [otherEnd(end), 'm-other']])
    if (typed(id)) lines.push(`bearing.${where} = { designation = ${JSON.stringify(typed(id))} }`);
  for (const each of ['DE', 'NDE']) lines.push('[[machine.point]]', `name = "${each}"`, `end = "${each}"`);
  return {text: `${lines.join('\n')}\n`, name: 'machine', end};
}

// The words and the file that give the tool the machine, with the places of `points` recordings; empty without a machine.
function machineWords(ends = []) {
  const fields = machineFile ? null : machineOfFields();
  if (!machineFile && !fields) return {words: [], files: []};
  const text = machineFile ? machineFile.text : fields.text;
  const name = machineFile ? at('machine-name').value : fields.name;
  const words = ['--machine', `${machinePath}#${name}`];
  const place = machineFile ? at('machine-point').value : `point ${fields.end}`;
  // A place is "point NAME" or "end DE".
  for (const each of ends.length ? ends : [place]) {
    const [kind, ...rest] = each.split(' ');
    words.push(`--${kind}`, rest.join(' '));
  }
  return {words, files: [{name: machinePath, bytes: new TextEncoder().encode(text).buffer}], of: fields ? 'fields' : 'file'};
}

const pointsOf = (machine) => (machine.points.length
  ? machine.points.map((point) => [`point ${point.name}`, point.name, point.end])
  : ['DE', 'NDE'].map((end) => [`end ${end}`, end, end]));

function fillPoints() {
  const machine = machineFile.machines.find((each) => each.name === at('machine-name').value) || machineFile.machines[0];
  at('machine-point').replaceChildren(...pointsOf(machine).map(([value, name]) => element('option', name, {value})));
}

function showMachine() {
  at('machine-choice').hidden = !machineFile;
  at('machine-fields').hidden = !!machineFile;
  const known = machineFile
    ? [machineFile.name, at('machine-name').value, at('machine-point').selectedOptions[0]?.textContent]
    : machineOfFields() ? [...machineFields.filter((id) => typed(id)).map((id) => ({'m-power': `${typed(id)} kW`,
      'm-height': `${typed(id)} mm`, 'm-mains': `${typed(id)} Hz`, 'm-poles': `${typed(id)} poles`,
      'm-other': `${typed(id)} at the ${otherEnd(at('m-end').value)}`,
      'm-driven': typed(id) === 'other' ? 'other machine' : ''})[id] || typed(id)), `measured at the ${at('m-end').value}`] : [];
  at('machine-summary').textContent = known.length ? `The machine: ${known.filter(Boolean).join(', ')}`
    : 'The machine: for the vibration zone, other faults and the bearing at the other end';
  at('bearing').placeholder = machineFile ? 'as in the machine file' : '6205-2Z';
  at('rpm').placeholder = machineFile ? 'as in the machine file' : '1480';
}

// What the file of the machine says of the sensor counts: what is remembered of another is taken back.
function sensorOfFile(wanted) {
  for (const id of kept) at(id).value = wanted ? '' : remembered.get(id);
}

function keepMachine() {
  for (const id of [...machineFields, 'm-end']) remembered.set(id, at(id).value);
  remembered.set('machine-file', machineFile ? JSON.stringify({name: machineFile.name, text: machineFile.text,
    machine: at('machine-name').value, point: at('machine-point').value}) : '');
  showMachine();
}

// Reads it by the tool. Says in one line what is wrong.
async function takeMachineFile(name, text, chosenBefore = {}) {
  machineFile = null;
  try {
    if (text.length > largestMachineFile) throw new Error(`${name}: is too long for a machine file; choose the recording above`);
    const done = await tool.run(['machine', 'check', machinePath, '--json'],
      [{name: machinePath, bytes: new TextEncoder().encode(text).buffer}]);
    const machines = JSON.parse(done.out || '{"machines":[]}').machines;
    if (done.code !== 0 || machines.length === 0) throw new Error(done.err.replace(/^bearingdsp: /gm, '').trim() || `${name}: has no machine`);
    machineFile = {name, text, machines};
    at('machine-name').replaceChildren(...machines.map((machine) => element('option', machine.name, {value: machine.name})));
    if (chosenBefore.machine) at('machine-name').value = chosenBefore.machine;
    fillPoints();
    if (chosenBefore.point) at('machine-point').value = chosenBefore.point;
    sensorOfFile(true);
    at('machine-said').textContent = `${machines.length === 1 ? 'One machine' : `${machines.length} machines`} in ${name}. ` +
      'Speed, bearing and sensor are taken from it; what you type has priority.';
  } catch (why) {
    at('machine-said').textContent = `${why.message || why}`.replaceAll(machinePath, name);
  }
  keepMachine();
}

function clearMachine() {
  const had = machineFile;
  machineFile = null;
  at('machine-file').value = '';
  at('machine-said').textContent = '';
  for (const id of machineFields) at(id).value = '';
  at('m-end').value = 'DE';
  if (had) sensorOfFile(false);
  keepMachine();
}

// As it was left.
async function recallMachine() {
  for (const id of [...machineFields, 'm-end']) at(id).value = remembered.get(id) || (id === 'm-end' ? 'DE' : '');
  let file = null;
  try { file = JSON.parse(remembered.get('machine-file')); } catch { /* none */ }
  if (file && file.text) await takeMachineFile(file.name, file.text, file);
  showMachine();
}

// Which end a job card is for.
function endWords(words) {
  if (words.length === 0) return [];
  const point = words[words.indexOf('--point') + 1];
  const machine = machineFile && machineFile.machines.find((each) => each.name === at('machine-name').value);
  const end = words.includes('--end') ? words[words.indexOf('--end') + 1]
    : machine ? machine.points.find((each) => each.name === point).end : point;
  return [...words.slice(0, 2), '--end', end];
}

// The places of two recordings, one of each end, by their names; one line where that is not possible.
function placesOfEnds(files) {
  const endOf = (name) => (/(^|[^a-z])NDE([^a-z]|$)/i.test(name) ? 'NDE' : /(^|[^a-z])DE([^a-z]|$)/i.test(name) ? 'DE' : '');
  const ends = files.map((file) => endOf(file.name));
  if (files.length !== 2 || ends[0] === ends[1] || ends.includes(''))
    throw new Error('Choose two recordings, one with DE and one with NDE in its file name.');
  if (!machineFile && !machineOfFields()) throw new Error('Give the bearings of both ends, under "The machine".');
  if (!machineFile) return ends.map((end) => `point ${end}`);
  const machine = machineFile.machines.find((each) => each.name === at('machine-name').value);
  return ends.map((end) => {
    const found = pointsOf(machine).find(([, , of]) => of === end);
    if (!found) throw new Error(`${machine.name} has no measuring point at the ${end}.`);
    return found[0];
  });
}

for (const id of [...machineFields, 'm-end', 'machine-point']) at(id).addEventListener('change', keepMachine);
at('machine-name').addEventListener('change', () => { fillPoints(); keepMachine(); });
at('machine-clear').addEventListener('click', clearMachine);
at('machine-file').addEventListener('change', async () => {
  const [file] = at('machine-file').files;
  if (file) await takeMachineFile(file.name, await file.text());
});
