// One circuit in one line, while its supply, tester and contact are in order.
import type { JSX } from 'preact';
import { useNow, usePage } from '../state/hooks';
import { lineWords } from '../words/contact';
import { tally } from '../words/headline';
import { circuitLink } from '../words/route';
import { circuitState, standing } from '../words/tone';
import { concerns } from '../words/urgency';
import { Mark } from './mark';
import type { Reported } from './reported';

/** Ranks up to this one are trouble with supply, tester or contact. */
const WORST_RANKS = 2;

/**
 * True if a line says enough. Only trouble with the supply, the tester or the contact needs a card with the senses;
 * everything else that needs attention has a row of its own further up.
 */
export function isQuiet({ status }: Reported): boolean {
  return concerns([status]).every(({ rank }) => rank > WORST_RANKS);
}

/** Name, state, people there, and the verdicts of its luminaires. */
export function CircuitLine({ circuit, status }: Reported): JSX.Element {
  const { building } = usePage();
  const now = useNow();
  const zone = building?.timeZone ?? 'UTC';
  const { word, tone } = circuitState(status);
  const verdicts = status.lamps.map((lamp) => standing(lamp).verdict);
  return (
    <li>
      <a href={circuitLink(circuit.id)}>
        {circuit.id} {circuit.name}
      </a>
      <Mark tone={tone} word={word} />
      <span>{lineWords(status, now, zone).join(' ')}</span>
      {verdicts.includes('fail') ? (
        <Mark tone="fault" word={tally(verdicts)} />
      ) : (
        <span class="quiet">{tally(verdicts)}</span>
      )}
    </li>
  );
}
