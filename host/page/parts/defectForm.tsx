// Who sees to a defect, by when, and what protects people until then: entered in place.
import type { JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { type DefectView, REMARK_MAX } from '../../api/defects';
import { NAME_MAX } from '../../words/person';
import { useNow, usePage, useStore } from '../state/hooks';
import { giveOrder } from '../state/host';
import { t } from '../tongues/tongue';
import { orderName } from '../words/order';
import { dateIn } from '../words/time';
import { Signature } from './signature';

interface FormProps {
  defect: DefectView;
  /** With what the host answered; '' if it was given up. */
  onClose: (answer: string) => void;
}

type Entry = Record<'owner' | 'due' | 'interim' | 'words', string>;

/** What is typed, and how it is sent. */
function useEntry({ defect, onClose }: FormProps) {
  const store = useStore();
  const { owner = '', due = '', interim = '', words = '' } = defect.care ?? {};
  const [entry, setEntry] = useState<Entry>({ owner, due, interim, words });
  const [name, setName] = useState(store.state.orderedBy);
  const [mistake, setMistake] = useState('');
  const [sending, setSending] = useState(false);
  async function send(event: Event): Promise<void> {
    event.preventDefault();
    const checked = orderName(name);
    setMistake(checked.mistake);
    if (checked.mistake !== '') return;
    setSending(true);
    const { circuit, luminaire } = defect;
    const { ok, answer } = await giveOrder(circuit, { do: 'defect', luminaire, ...entry, who: checked.who });
    setSending(false);
    if (!ok) return setMistake(answer);
    store.change((s) => ({ ...s, orderedBy: name }));
    onClose(answer);
  }
  const set = (field: keyof Entry, value: string) => setEntry((old) => ({ ...old, [field]: value }));
  return { entry, set, name, setName, mistake, sending, send };
}

/** The form, with what was entered before. Escape gives it up. */
export function DefectForm(props: FormProps): JSX.Element {
  const { defect, onClose } = props;
  const { building } = usePage();
  const first = useRef<HTMLInputElement>(null);
  const { entry, set, name, setName, mistake, sending, send } = useEntry(props);
  const today = dateIn(useNow(), building?.timeZone ?? 'UTC');
  useEffect(() => first.current?.focus(), []);
  const what = defect.luminaire || defect.circuit;
  const id = `defect-${what}-${defect.entry}`;
  const field = (key: keyof Entry, label: string, more: JSX.IntrinsicElements['input'] = {}) => (
    <>
      <label for={`${id}-${key}`}>{label}</label>
      <input
        id={`${id}-${key}`}
        value={entry[key]}
        onInput={(e) => set(key, e.currentTarget.value)}
        autoComplete="off"
        {...more}
      />
    </>
  );
  return (
    <form
      class="confirm"
      onSubmit={send}
      onKeyDown={(e) => e.key === 'Escape' && !sending && onClose('')}
      aria-label={`${t.defects.ownerAndDate}: ${what}`}
      noValidate
    >
      {field('owner', t.defects.whoSees, { ref: first, maxLength: NAME_MAX })}
      {field('due', t.defects.due, { type: 'date', min: today })}
      {field('interim', t.defects.protectedBy, { maxLength: REMARK_MAX })}
      {field('words', t.defects.remark, { maxLength: REMARK_MAX })}
      <Signature id={`${id}-who`} name={name} onName={setName} mistake={mistake} />
      <div class="buttons">
        <button type="submit" class="sure" disabled={sending}>
          {sending ? t.orders.sending : t.defects.enter}
        </button>
        <button type="button" class="plain" onClick={() => onClose('')} disabled={sending}>
          {t.defects.cancel}
        </button>
      </div>
    </form>
  );
}
