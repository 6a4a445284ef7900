// A headless Chromium, driven over its debugging pipe: JSON messages that end with a zero byte, on the
// descriptors 3 and 4. Needs nothing but Node.
import {spawn} from 'node:child_process';
import {existsSync, mkdtempSync, rmSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join} from 'node:path';

export function findChromium() {
  const places = (process.env.PATH || '').split(':').flatMap((folder) =>
    ['chromium', 'chromium-browser', 'google-chrome'].map((name) => join(folder, name)));
  return process.env.CHROMIUM || places.find((place) => existsSync(place));
}

export class Browser {
  static async start(program, more = []) {
    const browser = new Browser();
    browser.profile = mkdtempSync(join(tmpdir(), 'bearingdsp-page-'));
    browser.child = spawn(program, [
      '--headless=new', '--no-sandbox', '--disable-gpu', '--disable-dev-shm-usage', '--no-first-run',
      '--disable-background-networking', '--disable-component-update', '--hide-scrollbars',
      '--remote-debugging-pipe', `--user-data-dir=${browser.profile}`, ...more, 'about:blank',
    ], {stdio: ['ignore', 'ignore', 'ignore', 'pipe', 'pipe']});
    browser.waiting = new Map();
    browser.heard = [];
    browser.next = 1;
    let rest = Buffer.alloc(0);
    browser.child.stdio[4].on('data', (bytes) => {
      rest = Buffer.concat([rest, bytes]);
      for (let end = rest.indexOf(0); end >= 0; end = rest.indexOf(0)) {
        browser.hear(JSON.parse(rest.subarray(0, end).toString()));
        rest = rest.subarray(end + 1);
      }
    });
    return browser;
  }

  hear(message) {
    if (message.id === undefined) {
      for (const listener of [...this.heard]) listener(message);
      return;
    }
    const {resolve, reject, method} = this.waiting.get(message.id);
    this.waiting.delete(message.id);
    if (message.error) reject(new Error(`${method}: ${message.error.message}`));
    else resolve(message.result);
  }

  send(method, params = {}, sessionId = undefined) {
    const id = this.next++;
    this.child.stdio[3].write(JSON.stringify({id, method, params, sessionId}) + '\0');
    return new Promise((resolve, reject) => this.waiting.set(id, {resolve, reject, method}));
  }

  // The next event of this name that `wanted` takes.
  once(method, wanted = () => true) {
    return new Promise((resolve) => {
      const listener = (message) => {
        if (message.method !== method || !wanted(message.params)) return;
        this.heard.splice(this.heard.indexOf(listener), 1);
        resolve(message.params);
      };
      this.heard.push(listener);
    });
  }

  async open(url, view = {}) {
    const {targetId} = await this.send('Target.createTarget', {url: 'about:blank'});
    const {sessionId} = await this.send('Target.attachToTarget', {targetId, flatten: true});
    const page = new Page(this, sessionId, targetId);
    await page.go(url, view);
    return page;
  }

  async stop() {
    const ended = new Promise((resolve) => this.child.once('exit', resolve));
    await this.send('Browser.close').catch(() => {});
    await ended;
    rmSync(this.profile, {recursive: true, force: true, maxRetries: 5});
  }
}

export class Page {
  constructor(browser, session, target) {
    this.browser = browser;
    this.session = session;
    this.target = target;
    this.complaints = [];  // errors and warnings of the console, exceptions, refusals
    this.requests = [];
    this.events = new Map();
    browser.heard.push((message) => message.sessionId === session && this.hear(message));
  }

  send(method, params) {
    return this.browser.send(method, params, this.session);
  }

  hear({method, params}) {
    if (method === 'Runtime.exceptionThrown')
      this.complaints.push(params.exceptionDetails.exception?.description || params.exceptionDetails.text);
    if (method === 'Runtime.consoleAPICalled' && ['error', 'warning'].includes(params.type))
      this.complaints.push(params.args.map((a) => a.value ?? a.description).join(' '));
    if (method === 'Log.entryAdded') this.complaints.push(params.entry.text);
    if (method === 'Network.requestWillBeSent') this.requests.push(params.request.url);
    const wake = this.events.get(method);
    if (wake) wake(params);
  }

  once(method) {
    return new Promise((resolve) => this.events.set(method, resolve));
  }

  // `before` is a script that runs before the page's own.
  async go(url, {width = 1280, height = 900, dark = false, script = true, before = ''} = {}) {
    for (const domain of ['Page', 'Runtime', 'Log', 'Network']) await this.send(`${domain}.enable`);
    await this.send('Emulation.setDeviceMetricsOverride', {width, height, deviceScaleFactor: 1, mobile: width < 600});
    await this.send('Emulation.setEmulatedMedia',
      {features: [{name: 'prefers-color-scheme', value: dark ? 'dark' : 'light'}]});
    if (!script) await this.send('Emulation.setScriptExecutionDisabled', {value: true});
    if (before) await this.send('Page.addScriptToEvaluateOnNewDocument', {source: before});
    const loaded = this.once('Page.loadEventFired');
    await this.send('Page.navigate', {url});
    await loaded;
  }

  // The value of an expression in the page, promises awaited.
  async value(expression) {
    const {result, exceptionDetails} = await this.send('Runtime.evaluate',
      {expression, awaitPromise: true, returnByValue: true});
    if (exceptionDetails) throw new Error(exceptionDetails.exception?.description || exceptionDetails.text);
    return result.value;
  }

  // Waits until an expression is true.
  async until(expression, seconds = 300) {
    for (const end = Date.now() + 1000 * seconds; Date.now() < end;) {
      if (await this.value(expression)) return;
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
    throw new Error(`never became true: ${expression}`);
  }

  async mouse(type, x, y, more = {}) {
    await this.send('Input.dispatchMouseEvent', {type, x, y, button: 'left', clickCount: 1, ...more});
  }

  async click(x, y) {
    await this.mouse('mouseMoved', x, y, {button: 'none'});
    await this.mouse('mousePressed', x, y);
    await this.mouse('mouseReleased', x, y);
  }

  async press(key, code = key) {
    const text = key.length === 1 ? key : key === 'Enter' ? '\r' : undefined;
    await this.send('Input.dispatchKeyEvent', {type: 'keyDown', key, code, text});
    await this.send('Input.dispatchKeyEvent', {type: 'keyUp', key, code});
  }

  async pdf() {
    const {data} = await this.send('Page.printToPDF', {preferCSSPageSize: false, paperWidth: 8.27, paperHeight: 11.69});
    return Buffer.from(data, 'base64');
  }

  async picture(whole = true) {
    const {data} = await this.send('Page.captureScreenshot', {captureBeyondViewport: whole, ...(whole
      ? {clip: {x: 0, y: 0, scale: 1, ...await this.value('({width: innerWidth, height: document.documentElement.scrollHeight})')}} : {})});
    return Buffer.from(data, 'base64');
  }
}
