// Whether a repaired luminaire may be tested while the person who repaired it is still there, and if not, why and
// when. It only foretells: the controller decides by its own rules.
import { TestKind } from '../../../firmware/contract/codes';
import type { RetestNow } from '../../api/defects';
import type { ControllerStatus } from '../../api/views';
import { rechargeSecOf } from '../../planner/placing/circuitWork';
import type { Plan } from '../../planner/plan/plan';
import { profileFor } from '../../profiles/profile';
import type { Circuit, Site } from '../../site/model';
import { testSecOf } from '../../site/settings';
import { slotNeedSec } from '../../site/windows';
import { type KindWord, kindName, TEST_KINDS } from '../../words/codes';
import { momentWord } from '../../words/when';
import { attendedRefusal, isOwnDay } from '../notes/attended';

export interface RetestQuestion {
  site: Site;
  plan: Plan | undefined;
  circuit: Circuit;
  status: Pick<ControllerStatus, 'contact' | 'phase' | 'sentence' | 'charged' | 'kind'>;
  /** The least test whose pass closes the defect. */
  needs: Exclude<KindWord, ''>;
  /** UTC second of the repair. */
  repairedAt: number;
  /** UTC second. */
  now: number;
}

/** The shortest engineer's window that the page offers, s. */
const WINDOW_SEC = 3600;

const no = (why: string): RetestNow => ({ kind: '', why, note: '' });

/** Why nothing can be tested on the circuit at this moment; '' if its controller is at rest with full batteries. */
function stateRefusal({ site, status, now }: RetestQuestion): string {
  const { contact, phase, sentence, charged } = status;
  if (contact === 'silent' || contact === 'never heard')
    return 'Its controller is not heard, so no order reaches it.';
  if (charged > now)
    return `Its batteries recharge until ${momentWord(charged, site.timeZone)}; a test is possible after that.`;
  return phase === 'charged' ? '' : sentence;
}

/**
 * The test that can be started now in an engineer's window. A battery that was just put in has not been charged:
 * until it has, a function test shows whether the lamp lights, and no more.
 */
export function retestNow(question: RetestQuestion): RetestNow {
  const { site, plan, circuit, needs, repairedAt, now } = question;
  if (!plan) return no('There is no plan yet.');
  const refusal = stateRefusal(question);
  if (refusal !== '') return no(refusal);
  const profile = profileFor(site);
  const isLong = needs !== 'brief';
  const full = repairedAt + rechargeSecOf(profile, TestKind.Full);
  const share = plan.circuits.find((one) => one.circuit === circuit.id);
  const isOwn = share !== undefined && isOwnDay(share, now);
  const kind = isLong && (now < full || !isOwn) ? 'brief' : needs;
  const needSec = slotNeedSec(testSecOf(circuit, TEST_KINDS[kind], profile));
  const to = now + Math.max(needSec, WINDOW_SEC);
  const why = attendedRefusal(site, plan, circuit.id, { from: now, to }, now);
  if (why !== '') return no(why);
  const from =
    now < full
      ? `once the batteries have charged, from ${momentWord(full, site.timeZone)}`
      : 'only on days without tests of its neighbours';
  const note =
    kind === needs
      ? ''
      : `It shows only that the lamp lights again. The ${kindName(needs)} that closes the defect is possible ${from}.`;
  return { kind, why: '', note };
}
