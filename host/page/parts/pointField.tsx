// One point of a form: three large answers, and what is wrong where it is not in order.
import type { JSX } from 'preact';
import { t } from '../tongues/tongue';
import { MARKS, type PointDraft } from '../words/duties';
import { FromHost } from './fromHost';

export interface PointFieldProps {
  point: { id: string; words: string };
  draft: PointDraft;
  /** Luminaires that can be named. */
  luminaires: readonly { id: string; place: string }[];
  onChange(next: PointDraft): void;
}

function Named({ draft, luminaires, onChange, point }: PointFieldProps): JSX.Element {
  const named = new Set(draft.luminaires);
  const without = (id: string) => draft.luminaires.filter((other) => other !== id);
  return (
    <>
      <ul class="named">
        {draft.luminaires.map((id) => (
          <li key={id}>
            <button
              type="button"
              class="plain"
              onClick={() => onChange({ ...draft, luminaires: without(id) })}
            >
              {id} ✕<span class="unseen"> {t.duties.takeAway}</span>
            </button>
          </li>
        ))}
      </ul>
      <label for={`lamp-${point.id}`}>{t.duties.whichLuminaires}</label>
      <select
        id={`lamp-${point.id}`}
        value=""
        onChange={(e) => {
          const id = e.currentTarget.value;
          if (id !== '') onChange({ ...draft, luminaires: [...draft.luminaires, id] });
        }}
      >
        <option value="">{named.size === 0 ? t.duties.noneNamed : t.duties.oneMore}</option>
        {luminaires
          .filter(({ id }) => !named.has(id))
          .map(({ id, place }) => (
            <option key={id} value={id}>
              {id}, {place}
            </option>
          ))}
      </select>
      <label for={`words-${point.id}`}>{t.duties.whatFound}</label>
      <textarea
        id={`words-${point.id}`}
        rows={2}
        value={draft.words}
        onInput={(e) => onChange({ ...draft, words: e.currentTarget.value })}
      />
    </>
  );
}

/** See above. */
export function PointField(props: PointFieldProps): JSX.Element {
  const { point, draft, onChange } = props;
  return (
    <fieldset class="point">
      <legend>
        <FromHost text={point.words} />
      </legend>
      <div class="answers">
        {MARKS.map((mark) => (
          <label key={mark}>
            <input
              type="radio"
              name={point.id}
              value={mark}
              checked={draft.mark === mark}
              onChange={() => onChange({ ...draft, mark })}
            />
            {t.duties.marks[mark]}
          </label>
        ))}
      </div>
      {draft.mark === 'not in order' ? <Named {...props} /> : null}
    </fieldset>
  );
}
