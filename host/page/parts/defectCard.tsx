// One defect: where, what, since when, who sees to it, and what to do next.
import type { JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { DefectView } from '../../api/defects';
import { usePage } from '../state/hooks';
import { ageWords, defectState, dueWords, repairWords } from '../words/defects';
import { kindName } from '../words/kinds';
import { lastWords } from '../words/lamp';
import { circuitLink, luminaireLink } from '../words/route';
import { DefectForm } from './defectForm';
import { Mark } from './mark';
import { OrderButton } from './order';

/** Who sees to it, by when, and the form to enter that; after it the button has the focus again. */
function Care({ defect, onEntered }: { defect: DefectView; onEntered: () => void }): JSX.Element {
  const [step, setStep] = useState<'' | 'asking' | 'closed'>('');
  const [answer, setAnswer] = useState('');
  const button = useRef<HTMLButtonElement>(null);
  useEffect(() => {
    if (step === 'closed') button.current?.focus();
  }, [step]);
  const close = (said: string) => {
    setAnswer(said);
    setStep('closed');
    if (said !== '') onEntered();
  };
  if (step === 'asking') return <DefectForm defect={defect} onClose={close} />;
  return (
    <>
      <p role="status">{answer}</p>
      <button type="button" class="plain" ref={button} onClick={() => setStep('asking')}>
        Owner and date<span class="unseen"> of {defect.luminaire || defect.circuit}</span>
      </button>
    </>
  );
}

/** For someone who is still there after the repair: the test that can be started now, or why none can. */
function Retest({ defect }: { defect: DefectView }): JSX.Element | null {
  const { status } = usePage();
  const { circuit, retestNow } = defect;
  if (!retestNow) return null;
  if (retestNow.kind === '')
    return (
      <p>
        <span class="quiet">On site, no test now:</span> {retestNow.why}
      </p>
    );
  const controller = status?.controllers.find((one) => one.circuit === circuit);
  return (
    <div class="retest">
      <p>
        <strong>Ready to retest now: start a {kindName(retestNow.kind)}.</strong> {retestNow.note}
        {controller?.attended ? '' : ' Say first that you are working here.'}
      </p>
      <OrderButton order={controller?.attended ? 'test' : 'attend'} circuit={circuit} />
    </div>
  );
}

function Facts({ defect, zone }: { defect: DefectView; zone: string }): JSX.Element {
  const { care, overdueDays, proven, attempt } = defect;
  const repair = repairWords(defect, zone);
  const rows: [string, string][] = [
    ['Owner', care?.owner || 'nobody yet'],
    ['Due date', dueWords(defect)],
    ['Until then', care?.interim || 'no interim measure entered'],
    ...(care?.words ? ([['Remark', care.words]] as [string, string][]) : []),
    ...(repair === '' ? [] : ([['Last repair', repair]] as [string, string][])),
    ...(proven || attempt ? lastWords({ proven, attempt }, zone) : []),
  ];
  return (
    <dl class="facts-list">
      {rows.map(([name, value]) => (
        <div key={name} class={name === 'Due date' && overdueDays > 0 ? 'fault late' : ''}>
          <dt>{name}</dt>
          <dd>{value}</dd>
        </div>
      ))}
    </dl>
  );
}

interface CardProps {
  defect: DefectView;
  /** Called after something was entered about it. */
  onEntered: () => void;
  /** In a list of many, where the luminaire's page is elsewhere. */
  isListed?: true;
}

/** A defect as an entry of a list. */
export function DefectCard({ defect, onEntered, isListed }: CardProps): JSX.Element {
  const { building } = usePage();
  const zone = building?.timeZone ?? 'UTC';
  const { circuit, luminaire, place, cause, evidence, state, next, overdueDays } = defect;
  const { word, tone } = defectState(defect);
  const link = luminaire === '' ? circuitLink(circuit) : luminaireLink(luminaire);
  return (
    <li class={`defect ${tone}`}>
      <header>
        <h3>
          <a href={link}>{luminaire || circuit}</a> {place}
        </h3>
        <p>
          {overdueDays > 0 && state !== 'closed' ? <Mark tone="fault" word="Overdue" /> : null}{' '}
          <Mark tone={tone} word={word} />
        </p>
      </header>
      <p>
        <strong>{cause}</strong> <span class="quiet">{evidence}</span>
      </p>
      {next === '' ? null : (
        <p class="next">
          <span class="quiet">Next:</span> {next}{' '}
          {isListed && state === 'open' && luminaire !== '' ? (
            <a href={link}>Report the repair of {luminaire}</a>
          ) : null}
        </p>
      )}
      <Retest defect={defect} />
      <p class="quiet">{ageWords(defect, zone)}</p>
      <Facts defect={defect} zone={zone} />
      {state === 'closed' ? null : <Care defect={defect} onEntered={onEntered} />}
    </li>
  );
}
