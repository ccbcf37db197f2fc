// What a controller is doing, as one plain sentence.
import { Phase, Reason } from '../../../firmware/contract/codes';
import type { StateMessage } from '../../../firmware/contract/messages';
import type { Contact } from '../../api/views';
import { reasonSentence, testName } from '../../words/codes';
import { lengthWord } from '../../words/length';

/** Why a due test does not start, '' if there is no reason. A night still to come is no news. */
export function waitingSentence(state: StateMessage | undefined): string {
  if (!state || state.waiting === Reason.NothingToDo) return '';
  return reasonSentence(state.waiting);
}

function atRest(state: StateMessage, resting: string): string {
  const why = waitingSentence(state);
  return why === '' ? resting : `${resting} A test cannot start: ${why}`;
}

function phaseSentence(state: StateMessage): string {
  const test = testName(state.type);
  switch (state.phase) {
    case Phase.Starting:
      return 'The controller has just started and is checking its inputs.';
    case Phase.Charged:
      return atRest(state, 'The supply is on and the batteries are charged.');
    case Phase.Recharging:
      return atRest(state, 'The supply is on and the batteries are recharging.');
    case Phase.Opening:
      return `The supply is being cut for a ${test}.`;
    case Phase.Brief:
    case Phase.Full:
      return `A ${test} is running; the luminaires are on battery.`;
    case Phase.Restoring:
      return 'The test is over; checking that the supply is back.';
    case Phase.Outage:
      return 'The mains has failed; the luminaires are on battery.';
    case Phase.Held:
      return `Testing is on hold. ${reasonSentence(state.reason)}`.trimEnd();
    case Phase.Fault:
      return `Tester fault: no tests until it is cleared. ${reasonSentence(state.reason)}`.trimEnd();
    default:
      return `The controller is in a phase unknown to this host (${state.phase}).`;
  }
}

/** One sentence for a controller last heard `ageSec` ago. @param recorded day of its newest record, '' if none */
export function controllerSentence(
  state: StateMessage | undefined,
  contact: Contact,
  ageSec: number,
  recorded: string,
): string {
  if (!state && recorded !== '')
    return `Not heard since this host started; its last record is of ${recorded}.`;
  if (!state) return 'This controller has never reported.';
  const sentence = phaseSentence(state);
  if (contact !== 'silent') return sentence;
  return `Nothing heard for ${lengthWord(ageSec)}. Last report: ${sentence}`;
}
