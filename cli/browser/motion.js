// Records the accelerometer inside the phone: each reading with its own time stamp, as text that the tool reads like that of any
// recorder. It finds the rate from the stamps and puts the samples on their true axis.
'use strict';
const motionLimits = 'It ends at some 25 to 100 Hz: it may show unbalance and looseness. It cannot show a bearing, whose damage rings ' +
  'at 2 to 10 kHz: whatever the answer, it does not clear the bearing. Fix the phone flat on the bearing housing with the machine ' +
  'stopped, clear of all that turns.';
const soundLimits = 'A digital accelerometer with USB appears as a sound input. The microphone hears the whole room: it may show ' +
  'the rhythm of strong damage, it has no level and no zone, and the absence of signs means nothing.';
const noMotion = 'This device or browser gives no motion sensor to a page.';
const startsWithin = 3;  // seconds, for the first reading

const named = (name, text) => Object.assign(new Error(text), {name});

// Calls `take` with time in ms and acceleration in m/s2 on three axes. Resolves to the end of it, with the name of the source.
async function motionSource(take) {
  if (typeof Accelerometer === 'function') {
    // More than any browser gives: it delivers its highest rate.
    const sensor = new Accelerometer({frequency: 1000});
    await new Promise((resolve, reject) => {
      sensor.addEventListener('activate', resolve, {once: true});
      sensor.addEventListener('error', ({error}) => reject(error), {once: true});
      sensor.start();
    });
    sensor.addEventListener('reading', () => take(sensor.timestamp, [sensor.x, sensor.y, sensor.z]));
    return () => sensor.stop();
  }
  if (typeof DeviceMotionEvent !== 'function') throw named('NotFoundError', noMotion);
  if (typeof DeviceMotionEvent.requestPermission === 'function' && await DeviceMotionEvent.requestPermission() !== 'granted')
    throw named('NotAllowedError', 'refused');
  const hear = ({timeStamp, accelerationIncludingGravity: a}) => { if (a && a.x !== null) take(timeStamp, [a.x, a.y, a.z]); };
  addEventListener('devicemotion', hear);
  return () => removeEventListener('devicemotion', hear);
}

// The least difference of two readings: what the browser rounds to.
function stepOf(axes) {
  let least = Infinity;
  for (const x of axes) {
    const values = [...new Set(x)].sort((a, b) => a - b);
    for (let k = 1; k < values.length; ++k) if (values[k] - values[k - 1] > 1e-9) least = Math.min(least, values[k] - values[k - 1]);
  }
  return least;
}

// The means are gravity and offset. An axis that moves by a few steps alone holds rounding, not vibration.
const leastSteps = 4;
function motionText(times, axes, step) {
  const means = axes.map((x) => x.reduce((sum, v) => sum + v, 0) / x.length);
  const moves = (x) => x.reduce((most, v) => Math.max(most, v), -Infinity) - x.reduce((least, v) => Math.min(least, v), Infinity);
  const has = [0, 1, 2].filter((i) => moves(axes[i]) >= leastSteps * step - 1e-9);
  if (has.length === 0)
    throw new Error(`No vibration above the steps of this sensor${Number.isFinite(step) ? ` (${stepText(step)} m/s²)` : ''}: nothing is recorded.`);
  const rows = [`t [s],${has.map((i) => `${'xyz'[i]} [m/s2]`).join(',')}`];
  times.forEach((t, k) => rows.push(`${((t - times[0]) / 1000).toFixed(6)},${has.map((i) =>
    (axes[i][k] - means[i]).toFixed(6)).join(',')}`));
  return `${rows.join('\n')}\n`;
}
const stepText = (step) => `${Number(step.toPrecision(2))}`;

// Samples per second by all stamps, and what the longest step is of the usual one.
function rateOf(times) {
  const steps = times.slice(1).map((t, k) => t - times[k]).sort((a, b) => a - b);
  const usual = steps[Math.floor(steps.length / 2)];
  return {rate: 1000 * (times.length - 1) / (times[times.length - 1] - times[0]), longest: steps[steps.length - 1] / usual};
}

// Until `seconds` are there or the button is pressed again. `show` gets rms and peak of the last second, m/s2.
async function feel(seconds, show, ended) {
  const times = [];
  const axes = [[], [], []];
  let shown = 0;
  let stop = null;
  let over = false;
  let late;
  try {
    await new Promise((resolve, reject) => {
      ended.now = resolve;
      late = setTimeout(() => { if (times.length === 0) reject(named('NotFoundError', noMotion)); }, 1000 * startsWithin);
      motionSource((t, xyz) => {
        if (times.length && t <= times[times.length - 1]) return;  // the same reading again
        times.push(t);
        xyz.forEach((v, i) => axes[i].push(v));
        const lasts = (t - times[0]) / 1000;
        if (t - shown > 200 && times.length > 4) {
          shown = t;
          const from = times.findIndex((each) => each > t - 1000);
          const squares = axes.map((x) => {
            const part = x.slice(from);
            const mean = part.reduce((sum, v) => sum + v, 0) / part.length;
            return part.map((v) => (v - mean) ** 2);
          });
          const all = squares[0].map((v, k) => v + squares[1][k] + squares[2][k]);
          show(Math.sqrt(all.reduce((sum, v) => sum + v, 0) / all.length), Math.sqrt(Math.max(...all)), lasts, rateOf(times).rate);
        }
        if (lasts >= seconds) resolve();
      }).then((end) => { if (over) end(); else stop = end; }, reject);
    });
  } finally {
    clearTimeout(late);
    over = true;
    if (stop) stop();
  }
  if (times.length < 20) throw new Error(`Only ${times.length} readings came: nothing is recorded.`);
  const step = stepOf(axes);
  return {text: motionText(times, axes, step), seconds: (times[times.length - 1] - times[0]) / 1000, ...rateOf(times), step};
}

// What was recorded, and how far it reaches at the speed that is typed.
function motionSaid(made) {
  const band = made.rate / 2;
  const speed = Number(number('rpm'));
  const reach = speed > 0 ? ` That is ${(band / (speed / 60)).toFixed(1)} times the shaft rate.` : '';
  const gaps = made.longest > 2.5 ? ` Readings are missing (a gap of ${made.longest.toFixed(0)} steps).` : '';
  return `${made.seconds.toFixed(1)} s of the motion sensor are chosen: ${made.rate.toFixed(2)} samples per second measured, so it ` +
    `ends at ${band.toFixed(0)} Hz.${reach} Smallest step ${stepText(made.step)} m/s².${gaps} ` +
    'It does not clear the bearing. ';
}
