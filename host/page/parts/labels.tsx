// Labels for the luminaires: at which address telephones open the page, and on which sheets.
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { LABEL_SHEETS, type LabelSheet } from '../../api/labels';
import { isThisMachine } from '../../loopback';
import { usePage } from '../state/hooks';
import { t } from '../tongues/tongue';
import { CircuitSelect } from './circuitSelect';
import { MakeButton, MakingEnd, useMaking } from './making';

/** Whether telephones cannot open an address; what is no address is the host's to refuse. */
function isOwn(address: string): boolean {
  return URL.canParse(address) && isThisMachine(new URL(address).hostname);
}

/** The form. */
export function Labels(): JSX.Element {
  const { building } = usePage();
  const [address, setAddress] = useState(`${location.origin}${location.pathname}`.replace(/\/+$/, ''));
  const [sheet, setSheet] = useState<LabelSheet>(LABEL_SHEETS[0]);
  const [circuit, setCircuit] = useState('');
  const { make, ...state } = useMaking(building?.id ?? '');
  return (
    <section aria-labelledby="labels">
      <h2 id="labels">{t.labels.title}</h2>
      <p>{t.labels.intro}</p>
      <form class="confirm" aria-labelledby="labels" noValidate onSubmit={(e) => e.preventDefault()}>
        <label for="labels-address">{t.labels.address}</label>
        <input
          id="labels-address"
          type="url"
          value={address}
          aria-describedby="labels-own labels-mistake"
          onInput={(e) => setAddress(e.currentTarget.value)}
        />
        <p id="labels-own">{isOwn(address) ? t.labels.ownMachine : ''}</p>
        <label for="labels-sheet">{t.labels.sheet}</label>
        <select
          id="labels-sheet"
          value={sheet}
          onChange={(e) => setSheet(e.currentTarget.value as LabelSheet)}
        >
          {LABEL_SHEETS.map((one) => (
            <option key={one} value={one}>
              {t.labels.sheets[one]}
            </option>
          ))}
        </select>
        <CircuitSelect id="labels-circuit" value={circuit} onCircuit={setCircuit} />
        <MakingEnd id="labels" state={state}>
          <MakeButton
            making={state.making}
            words={t.labels.make}
            onMake={() => make({ address, sheet, ...(circuit !== '' && { circuit }) })}
          />
        </MakingEnd>
      </form>
    </section>
  );
}
