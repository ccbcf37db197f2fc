import { expect, test } from 'vitest';
import { loadPage } from '../../../host/page/assets';
import { LOADED, type Tongue } from '../../../host/page/tongues/names';
import { TONGUES } from '../../support/tongues';

test('the page is a document, a script, a style and the words of each further language, with nothing inline and nothing from elsewhere', async () => {
  const { html, script, style, tongues } = await loadPage();
  expect(html).toContain('<script type="module" src="/app.js"></script>');
  expect(html).toContain('<link rel="stylesheet" href="/app.css">');
  expect(html).not.toMatch(/<script(?![^>]*src=)|<style|\sstyle=|\son\w+=/);
  expect(script).toContain('/api/events');
  expect(script).not.toMatch(/\beval\(|new Function\(/);
  expect(style).toContain('.uplot');
  expect(style).toContain('prefers-color-scheme');
  expect(style).not.toMatch(/url\(|@import/);
  expect(Object.keys(tongues)).toEqual(LOADED);
  const said = new Map(LOADED.map((tag): [string, string] => [tag, TONGUES[tag].frame.language]));
  for (const [tag, words] of said) {
    expect(tongues[tag]).toContain(words);
    expect(tongues[tag]).toContain(` as ${tag}`);
    expect(tongues[tag]).not.toMatch(/^import|\bfrom"/m);
    expect(script).not.toContain(TONGUES[tag as Tongue].duties.intro);
  }
});
