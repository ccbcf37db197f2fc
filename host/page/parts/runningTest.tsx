// A running test: its length, every lamp, and the way to stop it.
import type { JSX } from 'preact';
import type { ControllerStatus, VerdictWord } from '../../api/views';
import type { Luminaire } from '../../site/model';
import { useFloorPercent, useNow, usePage } from '../state/hooks';
import { isJustRestored, REPEAT_MS } from '../state/pageState';
import { t } from '../tongues/tongue';
import { milliampsWord } from '../words/lamp';
import { supplyState } from '../words/progress';
import { circuitLink, luminaireLink } from '../words/route';
import { lengthOf } from '../words/time';
import { circuitState, glow, isTesting, type Tone, verdictTone } from '../words/tone';
import { FromHost } from './fromHost';
import { LiveCurve } from './liveCurve';
import { Mark, Shape } from './mark';
import { OrderButton, Restore } from './order';
import type { Reported } from './reported';

function Elapsed({ status }: { status: ControllerStatus }): JSX.Element | null {
  const now = useNow();
  // The sentence below says that the supply is still being checked.
  if (status.phase === 'restoring') return null;
  if (status.since === 0) return <p class="elapsed">{t.running.notStarted}</p>;
  const gone = Math.max(now - status.since, 0);
  return (
    <div class="elapsed">
      <p>
        <strong>{lengthOf(gone)}</strong> {t.running.of(lengthOf(status.length))}
      </p>
      <progress
        max={status.length}
        value={Math.min(gone, status.length)}
        aria-label={t.running.soFar(status.circuit)}
      />
    </div>
  );
}

/** Until the controller has judged a lamp, show only what its current says: it may still be starting. */
function soFar(verdict: VerdictWord, percent: number, floorPercent: number): { word: string; tone: Tone } {
  if (verdict !== 'open') return { word: t.verdicts[verdict], tone: verdictTone(verdict) };
  const seen = glow(percent, floorPercent);
  return { word: t.glow[seen], tone: seen === 'lit' ? 'busy' : 'idle' };
}

function LampChip(props: {
  luminaire: Luminaire;
  ma: number | undefined;
  verdict: VerdictWord;
}): JSX.Element {
  const { luminaire, ma, verdict } = props;
  const floorPercent = useFloorPercent();
  const percent = ma === undefined ? 0 : Math.round((Math.max(0, ma) / luminaire.batteryMilliamps) * 100);
  const { word, tone } =
    ma === undefined ? { word: t.glow.none, tone: 'idle' as const } : soFar(verdict, percent, floorPercent);
  return (
    <li class={`chip ${tone}`}>
      <a href={luminaireLink(luminaire.id)}>{luminaire.id}</a>
      <span class="chip-word">
        <Shape tone={tone} /> {word}
      </span>
      <span class="chip-ma">{ma === undefined ? '– mA' : `${milliampsWord(ma)}, ${percent} %`}</span>
    </li>
  );
}

/** Every lamp of a running test, and the curves so far. */
function Lamps({ circuit, status }: Reported): JSX.Element {
  const { traces } = usePage();
  const floorPercent = useFloorPercent();
  const live = status.live;
  const trace = traces[circuit.id];
  const verdicts = live?.verdict ?? [];
  return (
    <>
      <ul class="chips" aria-label={t.running.lamps}>
        {circuit.luminaires.map((l, i) => (
          <LampChip key={l.id} luminaire={l} ma={live?.ma[i]} verdict={verdicts[i] ?? 'open'} />
        ))}
      </ul>
      {live && trace && trace.test === live.test ? (
        <LiveCurve
          {...{ trace, verdicts, floorPercent }}
          luminaires={circuit.luminaires}
          length={status.length}
        />
      ) : null}
    </>
  );
}

/** How far a test is, and what it shows. */
function Running({ circuit, status }: Reported): JSX.Element {
  return (
    <>
      <Elapsed status={status} />
      <p>
        <FromHost text={status.sentence} />
      </p>
      {status.phase === 'brief' ? (
        <div class="orders apart">
          <OrderButton order="extend" circuit={circuit.id} />
        </div>
      ) : null}
      <Lamps circuit={circuit} status={status} />
    </>
  );
}

/** A circuit whose supply was just restored. */
export function RestoredLine({ circuit, status }: Reported): JSX.Element {
  return (
    <p class="restored">
      <a href={circuitLink(circuit.id)}>{circuit.name}</a>: {supplyState(status)}
    </p>
  );
}

/** Below the cards of several running tests: how far one of them is, and what it shows. */
export function TestSoFar({ circuit, status }: Reported): JSX.Element {
  return (
    <section class="running" aria-label={t.running.lampsOf(circuit.id)}>
      <h3>
        {circuit.id} {circuit.name}
      </h3>
      <Running circuit={circuit} status={status} />
    </section>
  );
}

/**
 * Card of one running test; for a moment also of one whose supply was just ordered back, small enough to leave the
 * button of another test on a phone's first screen.
 * @param isSmall where others run too: what it shows stands below all the cards
 */
export function RunningTest({
  circuit,
  status,
  isSmall = false,
}: Reported & { isSmall?: boolean }): JSX.Element {
  const { word, tone } = circuitState(status);
  const isJust = isJustRestored(usePage(), circuit.id, REPEAT_MS, performance.now());
  const isShown = isTesting(status) && !isSmall && !isJust;
  return (
    <section class={isSmall ? 'running small' : 'running'} aria-label={t.running.label(circuit.id)}>
      <header>
        <h3>
          <a href={circuitLink(circuit.id)}>
            {circuit.id} {circuit.name}
          </a>
        </h3>
        <Mark tone={tone} word={word} />
      </header>
      <Restore circuit={circuit} status={status} isAlone={!isSmall} />
      {isShown ? <Running circuit={circuit} status={status} /> : null}
    </section>
  );
}
