// Records from an input of the browser: samples as they come, with all processing for speech switched off where the browser
// lets it be. The recording is then chosen as a file would be.
const speech = {echoCancellation: false, noiseSuppression: false, autoGainControl: false};

// WAV with 32-bit floating point: nothing is lost.
function wavOf(blocks, rate) {
  const count = blocks.reduce((all, block) => all + block.length, 0);
  const bytes = new ArrayBuffer(44 + 4 * count);
  const view = new DataView(bytes);
  const text = (at4, word) => [...word].forEach((c, i) => view.setUint8(at4 + i, c.charCodeAt(0)));
  text(0, 'RIFF');
  view.setUint32(4, 36 + 4 * count, true);
  text(8, 'WAVEfmt ');
  view.setUint32(16, 16, true);
  view.setUint16(20, 3, true);  // floating point
  view.setUint16(22, 1, true);
  view.setUint32(24, rate, true);
  view.setUint32(28, 4 * rate, true);
  view.setUint16(32, 4, true);
  view.setUint16(34, 32, true);
  text(36, 'data');
  view.setUint32(40, 4 * count, true);
  let to = 44;
  for (const block of blocks)
    for (const x of block) {
      view.setFloat32(to, x, true);
      to += 4;
    }
  return bytes;
}

const decibels = (peak) => (peak > 0 ? Math.max(-90, 20 * Math.log10(peak)) : -90);

// Until `seconds` are there or the button is pressed again.
async function listen(seconds, show, ended) {
  const stream = await navigator.mediaDevices.getUserMedia({audio: {...speech, channelCount: 1}});
  const [track] = stream.getAudioTracks();
  const on = Object.keys(speech).filter((name) => track.getSettings()[name]);
  const context = new AudioContext({latencyHint: 'playback'});
  const source = context.createMediaStreamSource(stream);
  // On this thread, which has nothing else to do: a worklet would have to be a file.
  const tap = context.createScriptProcessor(4096, 1, 1);
  const blocks = [];
  let count = 0;
  let clipped = 0;
  await new Promise((resolve) => {
    ended.now = resolve;
    track.addEventListener('ended', resolve);
    tap.onaudioprocess = ({inputBuffer}) => {
      const block = inputBuffer.getChannelData(0).slice(0, Math.max(0, Math.ceil(seconds * context.sampleRate) - count));
      const peak = block.reduce((max, x) => Math.max(max, Math.abs(x)), 0);
      if (peak >= 0.999) clipped += 1;
      blocks.push(block);
      count += block.length;
      show(decibels(peak), count / context.sampleRate, clipped);
      if (count >= seconds * context.sampleRate) resolve();
    };
    source.connect(tap);
    tap.connect(context.destination);
  });
  tap.onaudioprocess = null;
  track.stop();
  await context.close();
  return {bytes: wavOf(blocks, context.sampleRate), seconds: count / context.sampleRate, on, input: track.label};
}

const ended = {now: null};
const hasSound = !!(navigator.mediaDevices && navigator.mediaDevices.getUserMedia);

// What is made becomes the chosen file. Resolves to what is said of it, and its link.
async function recordSound(seconds) {
  Object.assign(at('level'), {min: -90, max: 0, high: -3});
  const made = await listen(seconds, (level, lasts, clipped) => {
    at('level').value = level;
    at('heard').textContent = `${lasts.toFixed(1)} s, peak ${level.toFixed(0)} dB${clipped ? ', CLIPPED: lower the gain' : ''}`;
  }, ended);
  const on = made.on.length === 0 ? ''
    : `The browser does not switch off: ${made.on.join(', ')}. Levels and weak signs are not reliable. `;
  return {bytes: made.bytes, ending: 'wav', said: `${made.seconds.toFixed(1)} s from ${made.input || 'the input'} are chosen. ${on}`};
}

async function recordMotion(seconds) {
  Object.assign(at('level'), {min: -40, max: 32, high: 26});  // dB of 1 m/s2: 26 dB is 2 g
  const made = await feel(seconds, (rms, peak, lasts, rate) => {
    at('level').value = decibels(peak);
    at('heard').textContent = `${lasts.toFixed(1)} s, ${rms.toFixed(2)} m/s² rms, peak ${peak.toFixed(1)} m/s², ${rate.toFixed(1)} Hz`;
  }, ended);
  // The text says its unit itself: that of another sensor does not count.
  at('unit').value = '';
  return {bytes: new TextEncoder().encode(made.text), ending: 'csv', said: motionSaid(made)};
}

function showSource() {
  const motion = at('source').value === 'motion';
  at('source-help').textContent = motion ? motionLimits : soundLimits;
  at('record').hidden = !motion && !hasSound;
}
at('source').addEventListener('change', showSource);
showSource();
at('record').addEventListener('click', async () => {
  if (ended.now) {
    ended.now();
    return;
  }
  ended.now = () => {};
  const motion = at('source').value === 'motion';
  const caption = at('record').textContent;
  at('record').textContent = 'End the recording';
  at('recorded').textContent = '';
  at('level').hidden = false;
  at('source').disabled = true;
  try {
    const made = await (motion ? recordMotion : recordSound)(Number(number('seconds')) || 10);
    const stamp = new Date().toISOString().slice(0, 19).replace(/:/g, '-').replace('T', '_');
    const name = `${motion ? 'motion' : 'recording'}_${stamp}.${made.ending}`;
    const file = new File([made.bytes], name, {type: motion ? 'text/csv' : 'audio/wav'});
    const transfer = new DataTransfer();
    transfer.items.add(file);
    at('files').files = transfer.files;
    chosen = [file];
    at('recorded').textContent = made.said;
    at('recorded').append(element('a', `Save ${name}`, {href: URL.createObjectURL(file), download: name}));
  } catch (why) {
    at('recorded').textContent = why.name === 'NotAllowedError' || why.name === 'SecurityError'
      ? `The browser did not allow the ${motion ? 'motion sensor: allow it for this page, or choose a file' : 'input'}.`
      : motion && (why.name === 'NotFoundError' || why.name === 'NotReadableError') ? noMotion
        : why.name === 'NotFoundError' ? 'This device has no input for sound.' : `${why.message || why}`;
  }
  ended.now = null;
  at('heard').textContent = '';
  at('level').hidden = true;
  at('source').disabled = false;
  at('record').textContent = caption;
  refresh();
});
