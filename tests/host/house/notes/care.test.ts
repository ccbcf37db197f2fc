import { describe, expect, it } from 'vitest';
import { REMARK_MAX } from '../../../../host/api/defects';
import { type CareWish, careWords, decideCare } from '../../../../host/house/notes/care';
import { NAME_MAX } from '../../../../host/words/person';
import { HOUSE } from '../site';

/** 2026-03-29 01:30 in Berlin, half an hour before the clocks go forward. */
const NOW = Date.UTC(2026, 2, 29, 0, 30) / 1000;

function decide(wish: Partial<CareWish>) {
  return decideCare({
    ...{
      site: HOUSE,
      circuit: 'a',
      luminaire: 'A-01',
      now: NOW,
      hasDefect: true,
      before: null,
      who: 'Anna',
    },
    ...{ owner: '', due: '', interim: '', words: '', ...wish },
  });
}

describe('what is entered about a defect', () => {
  it('becomes a note, in the letters it was written in, with its blanks tidied', () => {
    const decision = decide({
      who: ' Zoë ',
      owner: 'A\u0301ron   Ødegård',
      due: '2032-01-31',
      words: 'می‌خواهم 🔦',
    });
    expect(decision).toEqual({
      note: {
        ...{ address: 'demo/a', kind: 'defect', at: NOW, who: 'Zoë' },
        fields: {
          ...{ luminaire: 'A-01', owner: 'Áron Ødegård', due: '2032-01-31', interim: '' },
          words: 'می‌خواهم 🔦',
        },
      },
    });
    expect('note' in decision && careWords(decision.note.fields)).toBe(
      'entered for the defect of A-01: owner Áron Ødegård; due 2032-01-31; no interim measure; می‌خواهم 🔦.',
    );
  });

  it('may leave a due date as it is, though it is over, and nothing else that is over', () => {
    expect(decide({ due: '2026-03-01', before: { due: '2026-03-01' }, owner: 'Anna' })).toHaveProperty(
      'note',
    );
    expect(decide({ due: '2026-03-02', before: { due: '2026-03-01' }, owner: 'Anna' })).toHaveProperty(
      'refusals',
    );
    expect(decide({ before: { due: '' } })).toHaveProperty('note');
  });

  it('may be due today by the clocks of the building, and as long as its bounds allow', () => {
    expect(decide({ due: '2026-03-29' })).toHaveProperty('note');
    expect(decide({ owner: '藤'.repeat(NAME_MAX), interim: '🔦'.repeat(REMARK_MAX) })).toHaveProperty('note');
    expect(decide({ due: '2036-03-29' })).toHaveProperty('note');
  });

  it.each<[string, Partial<CareWish>, string]>([
    ['no defect', { hasDefect: false, owner: 'Anna' }, 'Luminaire A-01 has no open defect.'],
    ['no defect of a circuit', { luminaire: '', hasDefect: false }, 'Circuit a has no open defect.'],
    [
      'no name',
      { who: ' \t', owner: 'Anna' },
      'Give your name, 1 to 40 characters without quotes or backslash: the log book records who entered it.',
    ],
    ['nothing', {}, 'Give an owner, a due date, an interim measure or a remark; nothing was entered.'],
    [
      'a due date in the past',
      { due: '2026-03-28' },
      'The due date 2026-03-28 is over; give today, 2026-03-29, or a later date.',
    ],
    [
      'a due date that is none',
      { due: '2026-02-30' },
      'The due date must be a real date written YYYY-MM-DD, but is "2026-02-30".',
    ],
    [
      'a due date too far away',
      { due: '2036-03-31' },
      'The due date 2036-03-31 is more than ten years away; give one up to 2036-03-29.',
    ],
    ['a long owner', { owner: 'x'.repeat(NAME_MAX + 1) }, 'The owner must have 40 characters or fewer.'],
    ['a long remark', { words: 'x'.repeat(REMARK_MAX + 1) }, 'The remark must have 200 characters or fewer.'],
    [
      'text that turns round what follows',
      { interim: 'torches\u202e' },
      'The interim measure must not contain control or invisible characters.',
    ],
    ['an escape', { owner: 'A\u001b[2J' }, 'The owner must not contain control or invisible characters.'],
  ])('is refused in one sentence: %s', (_slip, wish, sentence) => {
    expect(decide(wish)).toEqual({ refusals: [sentence] });
  });
});
