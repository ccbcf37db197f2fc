// One circuit on its floor: state, senses, contact, luminaires.
import type { JSX } from 'preact';
import type { ControllerStatus, LampStatus } from '../../api/views';
import type { Circuit, Luminaire } from '../../site/model';
import { useNow, usePage } from '../state/hooks';
import { t } from '../tongues/tongue';
import { attendedWords, contactWords, heldWords, rechargeWords, sensed } from '../words/contact';
import { circuitLink, luminaireLink } from '../words/route';
import { circuitState, standing, verdictName, verdictTone } from '../words/tone';
import { FromHost } from './fromHost';
import { Mark, Shape } from './mark';
import type { Reported } from './reported';

/** A small square with the luminaire's number, shape and word. */
function LampTile(props: { luminaire: Luminaire; lamp: LampStatus | undefined }): JSX.Element {
  const { luminaire, lamp } = props;
  const { verdict, reason } = lamp ? standing(lamp) : { verdict: 'untested' as const, reason: '' };
  const tone = verdictTone(verdict);
  const title = reason === '' ? luminaire.place : `${luminaire.place}: ${reason}`;
  return (
    <li>
      <a class={`tile ${tone}`} href={luminaireLink(luminaire.id)} title={title}>
        <span>{luminaire.id}</span>
        <span class="tile-word">
          <Shape tone={tone} /> {verdictName(verdict)}
        </span>
      </a>
    </li>
  );
}

/** Supply before and after the relay, the relay itself, and when the controller was last heard. */
export function Senses({ status }: { status: ControllerStatus }): JSX.Element {
  const { building } = usePage();
  const now = useNow();
  const zone = building?.timeZone ?? 'UTC';
  const supply = (value: boolean | null) => sensed(value, [t.contact.on, t.contact.off], status);
  return (
    <dl class="senses">
      <div>
        <dt>{t.contact.before}</dt>
        <dd>{supply(status.supplyBefore)}</dd>
      </div>
      <div>
        <dt>{t.contact.after}</dt>
        <dd>{supply(status.supplyAfter)}</dd>
      </div>
      <div>
        <dt>{t.contact.relay}</dt>
        <dd>{sensed(status.relayOpen, [t.contact.open, t.contact.closed], status)}</dd>
      </div>
      <div>
        <dt>{t.contact.controller}</dt>
        <dd>{contactWords(status, now, zone)}</dd>
      </div>
    </dl>
  );
}

/** Who holds testing and until when, and who is working here. */
export function PeopleNotice({ status }: { status: ControllerStatus }): JSX.Element {
  const { building } = usePage();
  const now = useNow();
  const zone = building?.timeZone ?? 'UTC';
  const lines = [heldWords(status, now, zone), attendedWords(status, now, zone)].filter(
    (line) => line !== '',
  );
  return (
    <>
      {lines.map((line) => (
        <p key={line} class="attended">
          {line}
        </p>
      ))}
    </>
  );
}

/** "Batteries recharging until …", where it applies. */
export function RechargeNotice({ status }: { status: ControllerStatus }): JSX.Element | null {
  const { building } = usePage();
  const words = rechargeWords(status, useNow(), building?.timeZone ?? 'UTC');
  return words === '' ? null : (
    <p class="recharge">
      <Mark tone="busy" word={words} />
    </p>
  );
}

/** Tiles of the luminaires that have not passed, and the number of the others. */
function Tiles({ circuit, lamps }: { circuit: Circuit; lamps: LampStatus[] }): JSX.Element {
  const all = circuit.luminaires.map((luminaire) => ({
    luminaire,
    lamp: lamps.find((one) => one.luminaire === luminaire.id),
  }));
  const shown = all.filter(({ lamp }) => !lamp || standing(lamp).verdict !== 'pass');
  const passed = all.length - shown.length;
  return (
    <>
      <ul class="tiles" aria-label={t.tonight.notPassed(circuit.id)}>
        {shown.map((one) => (
          <LampTile key={one.luminaire.id} {...one} />
        ))}
      </ul>
      {passed > 0 ? <p class="quiet">{t.tonight.passed(passed, shown.length > 0)}</p> : null}
    </>
  );
}

/** Card of one circuit. */
export function CircuitCard({ circuit, status }: Reported): JSX.Element {
  const { word, tone } = circuitState(status);
  return (
    <article class={`card ${tone}`} aria-label={t.frame.circuit(circuit.id)}>
      <header>
        <h4>
          <a href={circuitLink(circuit.id)}>
            {circuit.id} {circuit.name}
          </a>
        </h4>
        <Mark tone={tone} word={word} />
      </header>
      <p>
        <FromHost text={status.sentence} />
      </p>
      <PeopleNotice status={status} />
      <RechargeNotice status={status} />
      <Senses status={status} />
      <Tiles circuit={circuit} lamps={status.lamps} />
    </article>
  );
}
