// Runs one command of the tool, each in an instance of its own, so that a damaged file leaves nothing behind. The module
// `bearingdsp` is what Emscripten made; the page ends this worker where it takes too long.
'use strict';
let compiled;
const prepared = (bytes) => WebAssembly.compile(bytes).then((module) => { compiled = module; });

async function run({words, files}) {
  const out = [];
  const err = [];
  const text = (bytes) => new TextDecoder().decode(new Uint8Array(bytes));
  const instance = await bearingdsp({
    noInitialRun: true,
    // Of the shared compilation.
    instantiateWasm: (imports, done) => {
      WebAssembly.instantiate(compiled, imports).then((made) => done(made, compiled));
      return {};
    },
    // Neither stream is a terminal: no colours, no redrawn lines.
    preRun: [(module) => module.FS.init(() => null, (byte) => out.push(byte), (byte) => err.push(byte))],
    quit: (code, why) => { throw why; },
  });
  const {FS} = instance;
  FS.mkdir('/in');
  FS.mkdir('/out');
  for (const {name, bytes} of files) FS.writeFile(`/in/${name}`, new Uint8Array(bytes), {canOwn: true});
  FS.chdir('/in');
  let code = 2;
  try {
    code = instance.callMain(words);
  } catch (why) {
    if (why && why.name === 'ExitStatus') code = why.status;
    else if (why instanceof RangeError || /memory/i.test(`${why}`))
      return {code, out: '', err: 'bearingdsp: out of memory; give a shorter recording or fewer channels\n', made: {}};
    else throw why;
  }
  const made = {};
  for (const name of FS.readdir('/out'))
    if (!name.startsWith('.')) made[name] = FS.readFile(`/out/${name}`, {encoding: 'utf8'});
  return {code, out: text(out), err: text(err), made, memory: instance.HEAP8.length};
}

onmessage = async ({data}) => {
  try {
    if (data.engine) {
      await prepared(data.engine);
      postMessage({ready: true});
    } else {
      postMessage({id: data.id, ...await run(data)});
    }
  } catch (why) {
    postMessage({id: data.id, failed: `${(why && why.stack) || why}`});
  }
};
