// One field of a form of the site, by its kind, with its hint and what is wrong with it.
import type { JSX } from 'preact';
import type { FormField, Item, SiteFileData } from '../../api/site';
import { t } from '../tongues/tongue';
import { dayNames, optionWords } from '../words/site';
import {
  type HoursRow,
  hintOf,
  labelOf,
  mistakeAt,
  otherwiseOf,
  type Value,
  type Values,
} from '../words/siteForm';
import { FromHost } from './fromHost';

export interface FieldProps {
  field: FormField;
  /** Unique on the page. */
  id: string;
  value: Value;
  onChange: (value: Value) => void;
  /** The areas and floors that may be chosen. */
  data: SiteFileData;
  /** '' for none. */
  mistake: string;
  /** What must be known before what stands there is saved; '' where it changes nothing. */
  caution?: string | undefined;
}

interface Box {
  value: string;
  word: string;
}

function Boxes(props: { boxes: Box[]; marked: string[]; onChange: (marked: string[]) => void }): JSX.Element {
  const { boxes, marked, onChange } = props;
  const turn = (value: string, isOn: boolean) =>
    onChange(boxes.map((box) => box.value).filter((one) => (one === value ? isOn : marked.includes(one))));
  return (
    <div class="boxes">
      {boxes.map(({ value, word }) => (
        <label key={value}>
          <input
            type="checkbox"
            checked={marked.includes(value)}
            onChange={(e) => turn(value, e.currentTarget.checked)}
          />
          {word}
        </label>
      ))}
    </div>
  );
}

const boxesOf = (items: Item[]): Box[] =>
  items.map(({ id, name }) => ({ value: String(id), word: `${String(name)} (${String(id)})` }));
const dayBoxes = (): Box[] => dayNames().map(([value, word]) => ({ value, word }));

interface RowProps {
  row: HoursRow;
  number: number;
  id: string;
  onChange: (row: HoursRow) => void;
  onRemove: () => void;
}

function HoursFields({ row, number, id, onChange, onRemove }: RowProps): JSX.Element {
  const time = (name: 'from' | 'to', label: string) => (
    <label>
      {label}
      <input
        type="time"
        value={row[name]}
        onInput={(e) => onChange({ ...row, [name]: e.currentTarget.value })}
      />
    </label>
  );
  return (
    <fieldset class="framed" id={id}>
      <legend class="field-label">{t.site.field.hours(number)}</legend>
      <Boxes boxes={dayBoxes()} marked={row.days} onChange={(days) => onChange({ ...row, days })} />
      <div class="times">
        {time('from', t.site.field.from)}
        {time('to', t.site.field.to)}
        <button type="button" class="plain" aria-label={t.site.field.removeHours(number)} onClick={onRemove}>
          {t.site.field.remove}
        </button>
      </div>
    </fieldset>
  );
}

function Hours({ field, id, value, onChange }: FieldProps): JSX.Element {
  const rows = value as HoursRow[] | null;
  if (rows === null)
    return (
      <p>
        {t.site.field.notSaid(otherwiseOf(field))}.{' '}
        <button type="button" class="plain" onClick={() => onChange([])}>
          {t.site.field.ownHours}
        </button>
      </p>
    );
  const put = (at: number, row: HoursRow[]) =>
    onChange([...rows.slice(0, at), ...row, ...rows.slice(at + 1)]);
  return (
    <>
      {rows.length === 0 ? <p>{t.site.field.noHours}</p> : null}
      {rows.map((row, i) => (
        <HoursFields
          key={`${id}-${i}`}
          {...{ row, number: i + 1, id: `${id}-${i}` }}
          onChange={(next) => put(i, [next])}
          onRemove={() => put(i, [])}
        />
      ))}
      <div class="buttons">
        <button
          type="button"
          class="plain"
          onClick={() => onChange([...rows, { days: [], from: '', to: '' }])}
        >
          {t.site.field.addHours}
        </button>
        {field.otherwise === '' ? null : (
          <button type="button" class="plain" onClick={() => onChange(null)}>
            {t.site.field.noneOwn(otherwiseOf(field))}
          </button>
        )}
      </div>
    </>
  );
}

/** Fields of more than one input, which a legend names. */
function Many(props: FieldProps): JSX.Element {
  const { field, id, value, onChange, data } = props;
  if (field.kind === 'hours') return <Hours {...props} />;
  if (field.kind === 'group') {
    const group = value as Values;
    return (
      <>
        {field.fields?.map((one) => (
          <SiteField
            key={one.name}
            {...{ field: one, id: `${id}-${one.name}`, value: group[one.name], data, mistake: '' }}
            onChange={(next) => onChange({ ...group, [one.name]: next })}
          />
        ))}
      </>
    );
  }
  const boxes = field.kind === 'days' ? dayBoxes() : boxesOf(data.areas);
  return <Boxes boxes={boxes} marked={value as string[]} onChange={onChange} />;
}

function choicesOf(field: FormField, data: SiteFileData, value: Value): Box[] {
  const { kind, options = [], otherwise } = field;
  const words = t.site.field;
  const none = { value: '', word: otherwise === '' ? words.choose : words.notSaid(otherwiseOf(field)) };
  if (kind === 'yes or no') return [none, { value: 'yes', word: words.yes }, { value: 'no', word: words.no }];
  if (kind === 'floor') return [none, ...boxesOf(data.floors)];
  if (kind === 'area') return [none, ...boxesOf(data.areas)];
  if (kind === 'circuit') return value === '' ? [none, ...boxesOf(data.circuits)] : boxesOf(data.circuits);
  return [none, ...options.map((option) => ({ value: option, word: optionWords(option) }))];
}

function One({ field, id, value, onChange, data, mistake }: FieldProps): JSX.Element {
  const { kind } = field;
  const common = {
    ...{ id, value: value as string, 'aria-invalid': mistake !== '' },
    'aria-describedby': `${id}-hint ${id}-mistake`,
  };
  if (kind === 'text' || kind === 'number' || kind === 'date') {
    const type = kind === 'date' ? 'date' : 'text';
    const more = kind === 'number' ? { inputMode: 'decimal' as const } : {};
    return (
      <input
        {...common}
        {...more}
        type={type}
        autoComplete="off"
        onInput={(e) => onChange(e.currentTarget.value)}
      />
    );
  }
  if (kind === 'dates')
    return <textarea {...common} rows={3} onInput={(e) => onChange(e.currentTarget.value)} />;
  return (
    <select {...common} onChange={(e) => onChange(e.currentTarget.value)}>
      {choicesOf(field, data, value).map((choice) => (
        <option key={choice.value} value={choice.value}>
          {choice.word}
        </option>
      ))}
    </select>
  );
}

const MANY: readonly FormField['kind'][] = ['days', 'areas', 'hours', 'group'];

/** A field with its label, its hint, and what is wrong with it. */
export function SiteField(props: FieldProps): JSX.Element {
  const { field, id, mistake, caution } = props;
  const below = (
    <>
      {caution === undefined ? null : (
        <p role="status" class={caution === '' ? '' : 'against'}>
          {caution}
        </p>
      )}
      <p id={`${id}-hint`} class="quiet hint">
        {hintOf(field)}
      </p>
      <p id={`${id}-mistake`} class="field-mistake">
        {mistake === '' ? null : <FromHost text={mistakeAt(mistake)} isCapital />}
      </p>
    </>
  );
  if (MANY.includes(field.kind))
    return (
      <fieldset class="framed" id={id} aria-describedby={`${id}-hint ${id}-mistake`}>
        <legend class="field-label">{labelOf(field)}</legend>
        <Many {...props} />
        {below}
      </fieldset>
    );
  return (
    <div class="field">
      <label class="field-label" for={id}>
        {labelOf(field)}
      </label>
      <One {...props} />
      {below}
    </div>
  );
}
