// Screenshots and the printed pages of a report, to be looked at: node pictures.mjs PAGE.html FOLDER
import {mkdirSync, writeFileSync} from 'node:fs';
import {join, resolve} from 'node:path';
import {pathToFileURL} from 'node:url';
import {Browser, findChromium} from './browser.mjs';

const [file, folder] = process.argv.slice(2);
mkdirSync(folder, {recursive: true});
const browser = await Browser.start(findChromium());
const url = pathToFileURL(resolve(file)).href;
for (const [name, view] of Object.entries({
  'wide-light': {width: 1280}, 'wide-dark': {width: 1280, dark: true},
  'phone-light': {width: 390}, 'phone-dark': {width: 390, dark: true}, 'static': {width: 1280, script: false},
})) {
  const page = await browser.open(url, view);
  // Pictures are made as they come into view.
  if (view.script !== false)
    await page.value(`(async () => { for (const f of document.querySelectorAll('figure')) {
      f.scrollIntoView(); await new Promise((r) => setTimeout(r, 150)); } scrollTo(0, 0); })()`);
  await new Promise((r) => setTimeout(r, 300));
  writeFileSync(join(folder, `${name}.png`), await page.picture());
  if (name === 'wide-light') writeFileSync(join(folder, 'print.pdf'), await page.pdf());
  for (const complaint of page.complaints) console.log(`${name}: ${complaint}`);
}
await browser.stop();
