// Puts the page together: node assemble.mjs MODULE.js MODULE.wasm VERSION RECORDING OUTPUT.html. The policy allows the scripts
// and styles by their hashes alone, also those of the report, which is shown inside the page: that of the recording names them.
import {createHash} from 'node:crypto';
import {readFileSync, writeFileSync} from 'node:fs';
import {createRequire} from 'node:module';
import {dirname, join, resolve} from 'node:path';
import {fileURLToPath} from 'node:url';
import {gzipSync} from 'node:zlib';

const [module, wasm, version, recording, output] = process.argv.slice(2);
const here = dirname(fileURLToPath(import.meta.url));
const ours = (name) => readFileSync(join(here, name), 'utf8');
const hash = (text) => `'sha256-${createHash('sha256').update(text).digest('base64')}'`;

const style = ours('page.css');
const script = ['page.js', 'machine.js', 'motion.js', 'record.js'].map(ours).join('');
const code = `${readFileSync(module, 'utf8')}\n${ours('worker.js')}`;
for (const text of [style, script, code])
  if (/<\/(script|style)|<!--/i.test(text)) throw new Error('holds what HTML would read as markup');
const packed = gzipSync(readFileSync(wasm), {level: 9});
const engine = packed.toString('base64');

// The report of a recording, by the module itself.
async function reportOf(file) {
  const compiled = await WebAssembly.compile(readFileSync(wasm));
  const {FS, callMain} = await createRequire(import.meta.url)(resolve(module))({
    noInitialRun: true,
    instantiateWasm: (imports, done) => {
      WebAssembly.instantiate(compiled, imports).then((made) => done(made, compiled));
      return {};
    },
    print: () => {},
    printErr: () => {},
    quit: (code, why) => { throw why; },
  });
  FS.writeFile('/recording.wav', readFileSync(file));
  callMain(['diagnose', '/recording.wav', '--report', '/report.html']);
  return FS.readFile('/report.html', {encoding: 'utf8'});
}
const reportPolicy = /Content-Security-Policy" content="([^"]*)"/.exec(await reportOf(recording))[1];
const of = (kind) => new RegExp(`${kind} ([^;]*)`).exec(reportPolicy)[1].split(' ').filter((word) => word.startsWith("'sha256"));
const policy = [
  "default-src 'none'", `script-src ${[hash(script), ...of('script-src')].join(' ')} 'wasm-unsafe-eval'`, 'worker-src blob:',
  `style-src ${[hash(style), ...of('style-src')].join(' ')}`, 'img-src data: blob:',
  "connect-src 'none'", "base-uri 'none'", "form-action 'none'"].join('; ');
const parts = {policy, style, script, code, engine, version};
const page = ours('page.html').replace(/@(\w+)@/g, (all, name) => parts[name] ?? all);
writeFileSync(output, page);
const kb = (n) => `${Math.round(n / 1024)} kB`;
console.log(`${output}: ${kb(page.length)}: analysis ${kb(engine.length)} (${kb(readFileSync(wasm).length)} unpacked), ` +
  `its loader ${kb(code.length)}, page ${kb(script.length + style.length)}`);
