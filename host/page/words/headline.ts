// The building in one line, for someone who reads only one line.
import type { ControllerStatus, VerdictWord } from '../../api/views';
import { counted } from '../../words/counted';
import { isHeard, isOnBattery, isTesting, verdictName } from './tone';
import { concerns } from './urgency';

/** Words for what a circuit is doing, in the order in which they are told. */
const GROUPS = [
  ...['on battery now', 'with a tester fault', 'back after an outage', 'under test', 'recharging', 'on hold'],
  ...['charged', 'not known'],
] as const;
type Group = (typeof GROUPS)[number];

/** Every circuit is in one group, so that the counts add up. */
function groupOf(status: ControllerStatus): Group {
  if (!isHeard(status) || status.supplyAfter === null) return 'not known';
  if (isOnBattery(status)) return 'on battery now';
  if (status.phase === 'fault') return 'with a tester fault';
  if (status.phase === 'outage') return 'back after an outage';
  if (status.phase === 'recharging' || status.phase === 'charged') return status.phase;
  if (status.phase === 'held') return 'on hold';
  return isTesting(status) ? 'under test' : 'not known';
}

function circuitWords(controllers: ControllerStatus[]): string {
  const all = counted(controllers.length, 'circuit');
  if (controllers.every(({ contact }) => contact === 'never heard'))
    return `No controller has reported yet: nothing is known of ${all}.`;
  const groups = controllers.map(groupOf);
  const told = GROUPS.flatMap((group) => {
    const n = groups.filter((one) => one === group).length;
    return n === 0 ? [] : [{ group, n }];
  });
  if (told.length > 1) return `${all}: ${told.map(({ group, n }) => `${n} ${group}`).join(', ')}.`;
  return `${controllers.length === 1 ? '' : 'All '}${all} ${told[0].group}.`;
}

/** Luminaires and circuits are never added up into one number. */
function attentionWords(controllers: ControllerStatus[]): string {
  const all = concerns(controllers);
  const luminaires = all.filter(({ luminaire }) => luminaire !== '').length;
  const circuits = new Set(all.filter(({ luminaire }) => luminaire === '').map(({ circuit }) => circuit))
    .size;
  if (luminaires + circuits === 0) return 'Nothing needs attention.';
  const parts = [
    ...(luminaires > 0 ? [counted(luminaires, 'luminaire')] : []),
    ...(circuits > 0 ? [counted(circuits, 'circuit')] : []),
  ];
  return `${parts.join(' and ')} need${luminaires + circuits === 1 ? 's' : ''} attention.`;
}

/** E.g. "13 circuits: 2 on battery now, 11 charged. 3 luminaires and 1 circuit need attention." */
export function headline(controllers: ControllerStatus[]): string {
  if (controllers.length === 0) return 'No controller has reported yet.';
  return `${circuitWords(controllers)} ${attentionWords(controllers)}`;
}

/** E.g. "93 luminaires: 84 pass, 4 fail, 2 void, 3 untested." from verdict words. */
export function tally(verdicts: VerdictWord[]): string {
  const words: VerdictWord[] = ['pass', 'fail', 'void', 'open', 'untested'];
  const parts = words
    .map((word) => ({ word, n: verdicts.filter((v) => v === word).length }))
    .filter((p) => p.n > 0)
    .map((p) => `${p.n} ${verdictName(p.word)}`);
  const total = counted(verdicts.length, 'luminaire');
  return parts.length === 0 ? `${total}.` : `${total}: ${parts.join(', ')}.`;
}
