import fc from 'fast-check';
import { expect, test } from 'vitest';
import { lengthSentence, orderName, orderRequest, orderWords } from '../../../../host/page/words/order';
import { isWho, plainWho } from '../../../../host/words/person';

test('a plain name is kept, spaces are tidied, accents are dropped', () => {
  expect(orderName('  Night   shift 2 ').who).toBe('Night shift 2');
  expect(orderName('Zoe\u0308 Großmüller').who).toBe('Zoë Großmüller');
  expect(orderName('O’Hara').who).toBe('O’Hara');
  expect(orderName('Юля').who).toBe('Юля');
});

test('a name that cannot be signed is refused, with advice', () => {
  expect(orderName('   ').mistake).toContain('Type your name');
  expect(orderName('x'.repeat(41)).mistake).toContain('40 characters');
  expect(orderName('say "hi"').mistake).toContain('letters, digits');
  expect(orderName('Anna\u202e').mistake).toContain('letters, digits');
});

test('an accepted name fits the log book, and the wire once it is in plain letters', () => {
  fc.assert(
    fc.property(fc.string({ unit: 'grapheme', maxLength: 60 }), (typed) => {
      const { who, mistake } = orderName(typed);
      return mistake !== ''
        ? who === ''
        : isWho(who) && /^[\x20-\x21\x23-\x5b\x5d-\x7e]{1,40}$/.test(plainWho(who));
    }),
  );
});

test('currents are accepted of one luminaire or of its whole circuit, and the words say which', () => {
  expect(orderWords('accept', 'A-1')).toMatchObject({ button: 'Accept measured currents' });
  expect(orderWords('accept').button).toBe('Accept all measured currents');
  expect(orderWords('accept').consequence).toContain('the luminaires of this circuit');
  expect(orderRequest('accept', '', 'Anna')).toEqual({ do: 'accept', luminaire: '', who: 'Anna' });
});

test("each order takes the host's form, with the value chosen in its field", () => {
  expect(orderRequest('restore', '', 'Anna')).toEqual({ do: 'restore', who: 'Anna' });
  expect(orderRequest('hold', '24', 'Anna')).toEqual({ do: 'hold', hours: 24, who: 'Anna' });
  expect(orderRequest('extend', '10', 'Anna')).toEqual({ do: 'extend', minutes: 10, who: 'Anna' });
  expect(orderRequest('repaired', 'battery', 'Anna', 'E-1')).toEqual({
    ...{ do: 'repaired', luminaire: 'E-1', part: 'battery', who: 'Anna' },
  });
  expect(orderRequest('test', 'limited', 'Anna')).toEqual({ do: 'test', kind: 'limited', who: 'Anna' });
});

test('a test and the part repaired must be chosen: nothing stands there to be pressed by mistake', () => {
  expect(orderWords('repaired').field?.mustChoose).toMatch(/^Choose/);
  expect(orderWords('test').field?.mustChoose).toMatch(/^Choose/);
});

test('before a test is ordered its price is named', () => {
  const one = { testSec: 10_800, rechargeSec: 86_400 };
  const lengths = { brief: { testSec: 90, rechargeSec: 3600 }, full: one, limited: one, commissioning: one };
  expect(lengthSentence('full', lengths)).toBe(
    'The supply will be off for 3 h, then the batteries recharge for 24 h.',
  );
  expect(lengthSentence('brief', lengths)).toMatch(/off for 90 s, .* for 60 min\./);
  expect(lengthSentence('', lengths)).toBe('');
});

test('every order that may leave a relay open says that this is no isolation', () => {
  for (const order of ['test', 'extend', 'release', 'clear fault', 'repaired'] as const)
    expect(orderWords(order).caution).toContain('not isolation');
  expect(orderWords('test').field?.choices.map(([, word]) => word)).toContain(
    'limited duration test (2/3, not the full duration)',
  );
});
