// bearingdsp.html in a headless Firefox, driven by its own remote protocol: the page loads, a recording is diagnosed, the words are
// those of the native tool. tests/browser_app.sh runs it where a firefox is there.
import assert from 'node:assert/strict';
import {execFileSync, spawn} from 'node:child_process';
import {mkdirSync, mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {connect} from 'node:net';
import {tmpdir} from 'node:os';
import {join, resolve} from 'node:path';
import test from 'node:test';
import {pathToFileURL} from 'node:url';

const binary = process.env.BEARINGDSP_BINARY;
const url = pathToFileURL(process.env.BEARINGDSP_PAGE).href;
const folder = resolve('firefox');
const port = 2828 + process.pid % 1000;

// Messages are LENGTH:JSON; a command is [0, id, name, parameters], its answer [1, id, error, result].
class Firefox {
  static async start(program) {
    const it = new Firefox();
    it.profile = mkdtempSync(join(tmpdir(), 'bearingdsp-firefox-'));
    writeFileSync(join(it.profile, 'user.js'), `user_pref("marionette.port", ${port});\n` +
      'user_pref("app.update.enabled", false);\nuser_pref("datareporting.policy.dataSubmissionEnabled", false);\n' +
      'user_pref("browser.shell.checkDefaultBrowser", false);\nuser_pref("network.captive-portal-service.enabled", false);\n');
    it.child = spawn(program, ['--headless', '--marionette', '--no-remote', '--profile', it.profile], {stdio: 'ignore'});
    for (let i = 0; i < 300 && !it.socket; ++i) {
      await new Promise((done) => setTimeout(done, 200));
      it.socket = await new Promise((done) => {
        const socket = connect(port, '127.0.0.1', () => done(socket));
        socket.on('error', () => done(null));
      });
    }
    if (!it.socket) throw new Error('Firefox does not open its port');
    it.waiting = new Map();
    it.next = 1;
    let rest = Buffer.alloc(0);
    await new Promise((greeted) => it.socket.on('data', (bytes) => {
      rest = Buffer.concat([rest, bytes]);
      for (;;) {
        const colon = rest.indexOf(':');
        if (colon < 0) return;
        const length = Number(rest.subarray(0, colon));
        if (rest.length < colon + 1 + length) return;
        const message = JSON.parse(rest.subarray(colon + 1, colon + 1 + length));
        rest = rest.subarray(colon + 1 + length);
        if (!Array.isArray(message)) greeted();
        else it.hear(message);
      }
    }));
    await it.send('WebDriver:NewSession', {});
    await it.send('WebDriver:SetTimeouts', {script: 120000, pageLoad: 120000});
    return it;
  }

  hear([, id, error, result]) {
    const {resolve: done, reject} = this.waiting.get(id);
    this.waiting.delete(id);
    if (error) reject(new Error(error.message));
    else done(result);
  }

  send(name, parameters) {
    const id = this.next++;
    const text = JSON.stringify([0, id, name, parameters]);
    this.socket.write(`${Buffer.byteLength(text)}:${text}`);
    return new Promise((done, reject) => this.waiting.set(id, {resolve: done, reject}));
  }

  async value(script) {
    return (await this.send('WebDriver:ExecuteScript', {script: `return (${script})`, args: []})).value;
  }

  async until(script, seconds = 120) {
    for (const end = Date.now() + 1000 * seconds; Date.now() < end;) {
      if (await this.value(script)) return;
      await new Promise((done) => setTimeout(done, 100));
    }
    throw new Error(`never became true: ${script}; ${await this.value("document.getElementById('state').textContent")}`);
  }

  async stop() {
    const ended = new Promise((done) => this.child.once('exit', done));
    await this.send('Marionette:Quit', {flags: ['eForceQuit']}).catch(() => {});
    await ended;
    rmSync(this.profile, {recursive: true, force: true, maxRetries: 5});
  }
}

test('in Firefox: the page loads, a recording is diagnosed in the words of the native tool, and it is shown with its charts', async () => {
  rmSync(folder, {recursive: true, force: true});
  mkdirSync(folder);
  const file = join(folder, 'outer.wav');
  execFileSync(binary, ['simulate', '--force', '--out', file, '--geometry', '9,7.94,39.04', '--rpm', '1480', '--noise', '0.5',
    '--rate', '25600', '--defect', 'outer:10']);
  const firefox = await Firefox.start(process.env.FIREFOX);
  try {
    const began = performance.now();
    await firefox.send('WebDriver:Navigate', {url});
    await firefox.until("document.getElementById('state').textContent === 'Ready.'");
    const load = performance.now() - began;
    const {value: input} = await firefox.send('WebDriver:FindElement', {using: 'css selector', value: '#files'});
    await firefox.send('WebDriver:ElementSendKeys', {id: Object.values(input)[0], text: file});
    for (const [id, text] of [['rpm', '1480'], ['bearing', '6205'], ['full-scale', '128']]) {
      const {value: field} = await firefox.send('WebDriver:FindElement', {using: 'css selector', value: `#${id}`});
      await firefox.send('WebDriver:ElementSendKeys', {id: Object.values(field)[0], text});
    }
    await firefox.value("(document.getElementById('unit').value = 'm/s2')");
    await firefox.until("!document.getElementById('go').disabled");
    const {value: go} = await firefox.send('WebDriver:FindElement', {using: 'css selector', value: '#go'});
    await firefox.send('WebDriver:ElementClick', {id: Object.values(go)[0]});
    await firefox.until("document.querySelector('.answer') && document.getElementById('answers').getAttribute('aria-busy') === 'false'");
    const page = JSON.parse(await firefox.value("document.querySelector('.answer').dataset.json"));
    let out = '';
    try {
      out = execFileSync(binary, ['diagnose', 'outer.wav', '--rpm', '1480', '--bearing', '6205', '--unit', 'm/s2', '--full-scale', '128',
        '--json'], {cwd: folder, encoding: 'utf8'});
    } catch (why) {
      out = why.stdout;  // its exit code says that there is damage
    }
    const native = JSON.parse(out);
    for (const key of ['verdict', 'place', 'headline', 'reasons', 'advice', 'findings', 'trail'])
      assert.deepEqual(page[key], native[key], key);
    assert.deepEqual(page.assessment, native.assessment);
    await firefox.value("(document.querySelector('.answer details').open = true)");
    await firefox.until("document.querySelector('.answer iframe').contentDocument.querySelectorAll('canvas').length > 0", 30);
    const {value: picture} = await firefox.send('WebDriver:TakeScreenshot', {full: true});
    writeFileSync('firefox.png', Buffer.from(picture, 'base64'));
    const version = /Firefox\/([\d.]+)/.exec(await firefox.value('navigator.userAgent'))[1];
    console.log(`Firefox ${version}: loads in ${(load / 1000).toFixed(1)} s; ${await firefox.value("document.getElementById('state').textContent")} ` +
      `${page.headline}`);
  } finally {
    await firefox.stop();
  }
});
