import { expect, test } from 'vitest';
import type { DutyView } from '../../../../host/api/duties';
import { peopleLines } from '../../../../host/page/words/duties';
import { headline, tally } from '../../../../host/page/words/headline';
import { controller, lamp, underTest } from '../samples';

test('a quiet building takes one short line', () => {
  expect(headline([controller('a'), controller('b')])).toBe(
    'All 2 circuits charged. Nothing needs attention.',
  );
});

test('circuits on battery come first, then recharging, charged, and what needs attention', () => {
  const list = [
    underTest('a'),
    underTest('b'),
    controller('c', { phase: 'recharging' }),
    controller('d', { lamps: [lamp('D1', { verdict: 'fail' }), lamp('D2', { verdict: 'fail' })] }),
  ];
  expect(headline(list)).toBe(
    '4 circuits: 2 on battery now, 1 recharging, 1 charged. 2 luminaires need attention.',
  );
});

test('a circuit whose supply is back before its controller has left the outage is not unknown', () => {
  const away = controller('b', { phase: 'outage', supplyAfter: false });
  expect(headline([controller('a'), away])).toMatch(/^2 circuits: 1 on battery now, 1 charged\./);
  const back = { ...away, supplyAfter: true };
  expect(headline([controller('a'), back])).toMatch(/^2 circuits: 1 back after an outage, 1 charged\./);
});

test('luminaires and circuits that need attention are counted apart', () => {
  const failed = lamp('A1', { verdict: 'fail' });
  expect(headline([controller('a', { lamps: [failed], overdue: 1, fullOverdue: true })])).toBe(
    '1 circuit charged. 1 luminaire and 1 circuit need attention.',
  );
});

test('what people should have done is told after the circuits, and nothing else needs attention only without it', () => {
  const findings = [
    {
      luminaire: 'GA-04',
      where: 'area hall',
      words: 'obstructed.',
      asked: '',
      duty: 'Walk',
      who: 'Zoë',
      since: 86_400,
    },
    {
      luminaire: '',
      where: 'area hall',
      words: 'dusty',
      asked: '',
      duty: 'Walk',
      who: 'Zoë',
      since: 172_800,
    },
  ];
  const late = (id: string, days: number) =>
    ({ id, title: id, state: 'overdue', days, due: '2026-01-06' }) as DutyView;
  const [duties, found] = peopleLines({ duties: [late('Walk', -3), late('Light', -40)], findings });
  expect(duties).toMatchObject({
    title: '2 duties overdue',
    detail: 'The longest: Light, overdue by 40 days, was due Tue 6 Jan 2026.',
  });
  expect(found).toMatchObject({
    ...{ title: '2 findings not put right', detail: 'The oldest: GA-04: obstructed.', since: 86_400 },
  });
  expect(headline([controller('a')], [duties, found])).toBe(
    '1 circuit charged. 2 duties overdue, 2 findings not put right.',
  );
  const failed = controller('a', { lamps: [lamp('A1', { verdict: 'fail' })] });
  expect(headline([failed], [found])).toBe(
    '1 circuit charged. 1 luminaire needs attention. 2 findings not put right.',
  );
  expect(peopleLines({ duties: [], findings: [] })).toEqual([]);
});

test('of a controller that is not heard, or has not read its inputs yet, nothing is claimed', () => {
  const list = [controller('a'), controller('b', { contact: 'silent' }), controller('c', { phase: 'fault' })];
  expect(headline(list)).toBe(
    '3 circuits: 1 with a tester fault, 1 charged, 1 not known. 2 circuits need attention.',
  );
  const blind = { supplyBefore: null, supplyAfter: null, relayOpen: null };
  expect(headline([controller('a'), controller('b', { phase: 'starting', ...blind })])).toMatch(
    /^2 circuits: 1 charged, 1 not known\./,
  );
  const never = controller('a', { contact: 'never heard', phase: 'unknown', ...blind });
  expect(headline([never, { ...never, circuit: 'b' }])).toMatch(
    /^No controller has reported yet: nothing is known of 2 circuits\./,
  );
});

test('before the first message the page claims nothing', () => {
  expect(headline([])).toBe('No controller has reported yet.');
});

test('the tally leaves out zero counts', () => {
  expect(tally(['pass', 'pass', 'fail'])).toBe('3 luminaires: 2 pass, 1 fail.');
  expect(tally(['untested'])).toBe('1 luminaire: 1 untested.');
  expect(tally([])).toBe('0 luminaires.');
});
