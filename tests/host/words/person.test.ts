import { expect, it } from 'vitest';
import { isWho, plainWho } from '../../../host/words/person';

it.each([
  'Anna',
  'Zoë Großmüller',
  'Юля',
  '李小龍',
  'O’Hara',
  "O'Hara",
  'Μαρία-Ελένη',
  'شیرین\u200cپور',
  'x'.repeat(40),
  '𠮷'.repeat(40),
])('a name may be %s', (who) => expect(isWho(who)).toBe(true));

it.each([
  '',
  '  ',
  'say "hi"',
  'back\\slash',
  'two\nlines',
  'tab\t',
  'Anna\u202e',
  '\ud800',
  '\u0301',
  '\u200d',
  'x'.repeat(41),
  'a\u2028b',
])('a name may not be %j', (who) => expect(isWho(who)).toBe(false));

it.each([
  ['Zoë Großmüller', 'Zoe Grossmuller'],
  ['Łukasz Ødegård', 'Lukasz Odegard'],
  ['O’Hara', "O'Hara"],
  ['Юля', '???'],
  ['＂', '?'],
  ['شیرین\u200cپور', '????????'],
  ['ß'.repeat(40), 's'.repeat(40)],
])('a controller is given %s as %s', (who, plain) => expect(plainWho(who)).toBe(plain));
