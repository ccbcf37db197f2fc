// What a plan says of tests on top of those that the rule asks for.
import { TestKind } from '../../firmware/contract/codes';
import { urgencyAt } from '../planner/placing/furtherChain';
import type { MadePlan } from '../planner/plan/plan';
import { durationDays, wearOf } from '../profiles/more';
import type { Circuit, Site } from '../site/model';

/** Circuits named in one sentence; of more, a few stand for all. */
const NAMED = 5;

function names(circuits: Circuit[]): string {
  const ids = circuits.slice(0, NAMED).map(({ id }) => id);
  const rest = circuits.length - ids.length;
  return `${ids.join(', ')}${rest > 0 ? ` and ${rest} more` : ''}`;
}

/** Sentences for a site that asks for further tests; none for others. */
export function furtherLines(
  { testMore, circuits }: Site,
  { testsByCircuit: tests, from, until }: Pick<MadePlan, 'testsByCircuit' | 'from' | 'until'>,
): string[] {
  if (!testMore) return [];
  const further = tests.filter((test) => test.more);
  const lines = [
    `testMore: ${further.length} of ${tests.length} tests are on top of those the rule asks for, on nights when nobody ` +
      'is there or someone looks in for at most half an hour.',
  ];
  const without = circuits.filter(
    ({ id }) => !further.some(({ circuit, kind }) => circuit === id && kind !== TestKind.Brief),
  );
  if (without.length > 0)
    lines.push(`No such night is long enough for a further duration test of: ${names(without)}.`);
  const chemistriesOf = (circuit: Circuit) => circuit.luminaires.map(({ chemistry }) => chemistry);
  const daysOf = (circuit: Circuit) =>
    durationDays(testMore, chemistriesOf(circuit), urgencyAt(circuit, (from + until) / 2));
  const sooner = circuits.filter((circuit) => daysOf(circuit) < testMore.durationTestDays);
  if (sooner.length > 0)
    lines.push(`Their batteries are old or hot, so duration tests are wanted sooner: ${names(sooner)}.`);
  const fewer = circuits.filter((circuit) => daysOf(circuit) > testMore.durationTestDays);
  if (fewer.length > 0)
    lines.push(
      `Their batteries bear duration tests only more rarely than durationTestDays asks: ${names(fewer)}.`,
    );
  const most = circuits.reduce((worst, circuit) => {
    const days = daysOf(circuit);
    return Math.max(worst, ...chemistriesOf(circuit).map((chemistry) => wearOf(chemistry, days)));
  }, 0);
  lines.push(
    `At that interval duration tests use up at most ${Math.round(most * 100)} % of a battery's life (common practice, ` +
      'no source).',
  );
  return lines;
}
