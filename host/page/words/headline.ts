// The building in one line, for someone who reads only one line.
import { isHeard } from '../../api/phases';
import type { ControllerStatus, VerdictWord } from '../../api/views';
import { t } from '../tongues/tongue';
import type { PeopleLine } from './duties';
import { isOnBattery, isTesting } from './tone';
import { concerns } from './urgency';

/** What a circuit is doing, in the order in which it is told. */
const GROUPS = [
  ...['onBattery', 'fault', 'outage', 'testing', 'recharging', 'held', 'charged', 'notKnown'],
] as const;
type Group = (typeof GROUPS)[number];

/** Every circuit is in one group, so that the counts add up. */
function groupOf(status: ControllerStatus): Group {
  if (!isHeard(status) || status.supplyAfter === null) return 'notKnown';
  if (isOnBattery(status)) return 'onBattery';
  const { phase } = status;
  if (phase === 'fault' || phase === 'outage' || phase === 'held') return phase;
  if (phase === 'recharging' || phase === 'charged') return phase;
  return isTesting(status) ? 'testing' : 'notKnown';
}

function circuitWords(controllers: ControllerStatus[]): string {
  const all = controllers.length;
  if (controllers.every(({ contact }) => contact === 'never heard')) return t.headline.nothingKnown(all);
  const groups = controllers.map(groupOf);
  const told = GROUPS.flatMap((group) => {
    const n = groups.filter((one) => one === group).length;
    return n === 0 ? [] : [{ words: t.headline.groups[group](n), n }];
  });
  if (told.length === 1) return t.headline.one(all, told[0].words);
  return t.headline.several(all, told.map(({ words, n }) => `${n} ${words}`).join(', '));
}

/** Luminaires and circuits are never added up into one number; '' if there is none. */
function attentionWords(controllers: ControllerStatus[]): string {
  const all = concerns(controllers);
  const luminaires = all.filter(({ luminaire }) => luminaire !== '').length;
  const circuits = new Set(all.filter(({ luminaire }) => luminaire === '').map(({ circuit }) => circuit))
    .size;
  if (luminaires + circuits === 0) return '';
  return t.headline.attention(luminaires, circuits);
}

/** "1 duty overdue, 2 findings not put right."; '' if there is nothing. */
function peopleWords(people: readonly PeopleLine[]): string {
  return people.length === 0 ? '' : `${people.map(({ title }) => title).join(', ')}.`;
}

/**
 * E.g. "13 circuits: 2 on battery now, 11 charged. 3 luminaires and 1 circuit need attention. 1 duty overdue."
 * @param people what people should have done; null while nobody has answered that
 */
export function headline(controllers: ControllerStatus[], people: readonly PeopleLine[] | null = []): string {
  if (controllers.length === 0) return t.headline.noReports;
  const needed = attentionWords(controllers);
  const told = needed === '' && people?.length === 0 ? t.headline.nothing : needed;
  return [circuitWords(controllers), told, peopleWords(people ?? [])]
    .filter((words) => words !== '')
    .join(' ');
}

/** E.g. "93 luminaires: 84 pass, 4 fail, 2 void, 3 untested." from verdict words. */
export function tally(verdicts: VerdictWord[]): string {
  const words: VerdictWord[] = ['pass', 'fail', 'void', 'open', 'untested'];
  const parts = words
    .map((word) => ({ word, n: verdicts.filter((v) => v === word).length }))
    .filter((p) => p.n > 0)
    .map((p) => t.counted[p.word](p.n));
  return t.headline.tally(verdicts.length, parts.join(', '));
}
