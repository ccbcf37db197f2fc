// Text that becomes XML.
import { expect, it } from 'vitest';
import { broken, element, escaped, fitted, label, roomFor } from '../../../host/picture/svg';

it.each([
  ['a & b', 'a &amp; b'],
  ['<b>', '&lt;b&gt;'],
  ['"x"', '&quot;x&quot;'],
  ['tab\there', 'tab\there'],
  ['bell\u0007 gone', 'bell gone'],
  ['half \ud83d of a pair, a whole one \u{1f526}', 'half  of a pair, a whole one \u{1f526}'],
  ['no \uffff character', 'no  character'],
])('writes %j as %j', (text, written) => {
  expect(escaped(text)).toBe(written);
});

it('writes elements with rounded numbers, escaped words, and without undefined attributes', () => {
  expect(element('g', { x: 1.23456, y: undefined, class: 'a"b' })).toBe('<g x="1.23" class="a&quot;b"/>');
  expect(element('g', {}, element('a', {}), 'text')).toBe('<g><a/>text</g>');
  expect(label(1, 2, 'a < b', { class: 'small' })).toBe('<text x="1" y="2" class="small">a &lt; b</text>');
});

it('cuts the end of a text that does not fit, counting wide letters for more', () => {
  expect(fitted('stair-north', 13)).toBe('stair-north');
  expect(fitted('a rather long name', 13)).toBe('a rather lon…');
  expect(fitted('WWWWWWWW', 13)).toBe('WWWWWW…');
  expect(fitted('\u{1f526}\u{1f526}\u{1f526}', 4)).toBe('\u{1f526}…');
  expect(roomFor('aAM')).toBeCloseTo(1 + 1.35 + 1.9, 9);
});

it('breaks a text into lines that fit', () => {
  expect(broken('one two three four', 9)).toEqual(['one two', 'three', 'four']);
  expect(broken('an unsurpassable word', 6)).toEqual(['an', 'unsur…', 'word']);
});
