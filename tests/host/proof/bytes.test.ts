import fc from 'fast-check';
import { expect, it } from 'vitest';
import { FormatError, fromBase64, readBase64, toBase64 } from '../../../host/proof/bytes';

it('reads the base64 of any bytes as Node writes it, wherever it is put', () => {
  fc.assert(
    fc.property(fc.uint8Array({ maxLength: 70 }), fc.nat(5), (bytes, at) => {
      const text = Buffer.from(bytes).toString('base64');
      expect(fromBase64(text, 'It')).toEqual(bytes);
      expect(toBase64(bytes)).toBe(text);
      const out = new Uint8Array(at + 75);
      const end = readBase64(text, 'It', out, at);
      expect(out.slice(at, end)).toEqual(bytes);
    }),
  );
});

it('refuses every other text, also one that others read as the same bytes', () => {
  const wrong = [
    'A',
    'AA',
    'AAA',
    'AAA=A',
    'AB==',
    'AAB=',
    'AAAA=',
    'A===',
    '====',
    '==',
    'AA==AAAA',
    'AA\n==',
  ];
  for (const text of [...wrong, 'AA ==', ' AAAA', 'AAA-', 'AAA_', 'AAA\u00c1', 'AAA\u0141', '\ud83d\ude00AA'])
    expect(() => fromBase64(text, 'It'), text).toThrow(FormatError);
  fc.assert(
    fc.property(fc.string({ maxLength: 12 }), (text) => {
      const isOnly = Buffer.from(text, 'base64').toString('base64') === text;
      if (isOnly) fromBase64(text, 'It');
      else expect(() => fromBase64(text, 'It')).toThrow(FormatError);
    }),
    { numRuns: 2000 },
  );
});
