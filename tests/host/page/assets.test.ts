import { expect, test } from 'vitest';
import { loadPage } from '../../../host/page/assets';

test('the page is one document, one script and one style, with nothing inline and nothing from elsewhere', async () => {
  const { html, script, style } = await loadPage();
  expect(html).toContain('<script type="module" src="/app.js"></script>');
  expect(html).toContain('<link rel="stylesheet" href="/app.css">');
  expect(html).not.toMatch(/<script(?![^>]*src=)|<style|\sstyle=|\son\w+=/);
  expect(script).toContain('/api/events');
  expect(script).not.toMatch(/\beval\(|new Function\(/);
  expect(style).toContain('.uplot');
  expect(style).toContain('prefers-color-scheme');
  expect(style).not.toMatch(/url\(|@import/);
});
