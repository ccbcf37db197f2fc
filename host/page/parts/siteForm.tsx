// The form of one thing of the site: its fields, who changes it, and what the host says against it.
import type { JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { Change, FormField, SiteFileData, SiteFileView, SiteMistake, SiteOutcome } from '../../api/site';
import { useStore } from '../state/hooks';
import { useSaving } from '../state/site';
import { t } from '../tongues/tongue';
import { orderName } from '../words/order';
import { moveWords, removeWords } from '../words/site';
import {
  CIRCUIT,
  changesOf,
  type FormPlace,
  fieldsOf,
  itemOf,
  sorted,
  type Values,
  valuesOf,
} from '../words/siteForm';
import { FromHost } from './fromHost';
import { Signature } from './signature';
import { SiteField } from './siteField';

interface FormProps {
  place: FormPlace;
  view: SiteFileView;
  /** With the changes that are kept. */
  data: SiteFileData;
  /** Asks for the file anew. */
  again: () => void;
}

interface Told {
  here: Record<string, string>;
  elsewhere: SiteMistake[];
  answer: string;
  stale: boolean;
  /** The data as it would be, where keeping the change may help. */
  data: SiteFileData | null;
}

const NOTHING: Told = { here: {}, elsewhere: [], answer: '', stale: false, data: null };

function toldOf(
  outcome: SiteOutcome & { ok: false },
  place: FormPlace,
  fields: readonly FormField[],
  now: Values,
): Told {
  const { here, elsewhere } = sorted(outcome.mistakes, place, fields, now);
  const isHere = Object.keys(here).length > 0;
  const answer = isHere ? t.site.form.here : elsewhere.length > 0 ? t.site.form.elsewhere : outcome.answer;
  return { here, elsewhere, answer, stale: outcome.stale === true, data: isHere ? null : outcome.data };
}

function useSiteForm({ place, view, data }: FormProps) {
  const store = useStore();
  const { save, keep } = useSaving(view.revision);
  const fields = fieldsOf(place, view.fields[place.part]);
  const before = valuesOf(fields, itemOf(data, place) ?? {});
  const [values, setValues] = useState(before);
  const [name, setName] = useState(store.state.orderedBy);
  const [unnamed, setUnnamed] = useState('');
  const [told, setTold] = useState(NOTHING);
  const [saving, setSaving] = useState(false);
  async function send(changes: Change[]): Promise<void> {
    const { who, mistake } = orderName(name);
    setUnnamed(mistake);
    if (mistake !== '') return;
    if (changes.length === 0) return setTold({ ...NOTHING, answer: t.site.form.nothing });
    setSaving(true);
    const outcome = await save(changes, who);
    setSaving(false);
    if (!outcome.ok) return setTold(toldOf(outcome, place, fields, values));
    location.hash = '#/site';
  }
  const changes = () => changesOf(place, fields, before, values);
  const keepOn = (): void => {
    if (told.data) keep(changes(), told.data);
    location.hash = '#/site';
  };
  return { fields, values, setValues, name, setName, unnamed, told, saving, send, changes, keepOn };
}

function Against(props: { told: Told; onKeep: () => void; again: () => void }): JSX.Element {
  const { told, onKeep, again } = props;
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (told.answer !== '') box.current?.focus();
  }, [told]);
  return (
    <div role="alert" tabIndex={-1} ref={box} class={told.answer === '' ? '' : 'against'}>
      {told.answer === '' ? null : (
        <p class="mistake">
          <FromHost text={told.answer} />
        </p>
      )}
      {told.elsewhere.length === 0 ? null : (
        <ul>
          {told.elsewhere.map(({ where, message }) => (
            <li key={where + message}>
              {where === '' ? null : `${where}: `}
              <FromHost text={message} />
            </li>
          ))}
        </ul>
      )}
      {told.data && told.elsewhere.length > 0 ? (
        <p>
          {t.site.form.mend}{' '}
          <button type="button" class="plain" onClick={onKeep}>
            {t.site.form.keep}
          </button>
        </p>
      ) : null}
      {told.stale ? (
        <button type="button" class="plain" onClick={again}>
          {t.site.form.reload}
        </button>
      ) : null}
    </div>
  );
}

function Removal(props: { words: string; saving: boolean; onRemove: () => void }): JSX.Element {
  const [asked, setAsked] = useState(false);
  const { words, saving, onRemove } = props;
  if (!asked)
    return (
      <p>
        <button type="button" class="plain" onClick={() => setAsked(true)}>
          {t.site.remove.button}
        </button>
      </p>
    );
  return (
    <div class="against">
      <p>{words}</p>
      <div class="buttons">
        <button type="button" class="sure" disabled={saving} onClick={onRemove}>
          {t.site.remove.yes}
        </button>
        <button type="button" class="plain" onClick={() => setAsked(false)}>
          {t.site.remove.no}
        </button>
      </div>
    </div>
  );
}

/** See above. */
export function SiteForm(props: FormProps): JSX.Element {
  const { place, view, data, again } = props;
  const { fields, values, setValues, name, setName, unnamed, told, saving, send, changes, keepOn } =
    useSiteForm(props);
  const { part, id } = place;
  return (
    <form
      class="site-form"
      aria-label={t.site.form.label}
      noValidate
      onSubmit={(e) => {
        e.preventDefault();
        void send(changes());
      }}
    >
      <Against told={told} onKeep={keepOn} again={again} />
      <fieldset class="bare" disabled={view.fixed !== ''}>
        <legend class="unseen">{t.site.form.fields}</legend>
        {fields.map((field) => (
          <SiteField
            key={field.name}
            {...{ field, id: `site-${field.name}`, value: values[field.name], data }}
            caution={field === CIRCUIT ? moveWords(data, id, String(values.circuit)) : undefined}
            mistake={told.here[field.name] ?? ''}
            onChange={(value) => setValues({ ...values, [field.name]: value })}
          />
        ))}
        <div class="field">
          <Signature id="site-who" name={name} onName={setName} mistake={unnamed} />
        </div>
        <div class="buttons">
          <button type="submit" class="sure" disabled={saving}>
            {saving ? t.site.form.saving : t.site.form.save}
          </button>
          <a class="leave" href="#/site">
            {t.site.form.leave}
          </a>
        </div>
        {part === 'site' || id === '' ? null : (
          <Removal
            words={removeWords(data, place)}
            saving={saving}
            onRemove={() => void send([{ do: 'remove', part, id }])}
          />
        )}
      </fieldset>
    </form>
  );
}
