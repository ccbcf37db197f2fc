// Saying that an entry of the log book was a mistake: by name, with a reason.
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { REMARK_MAX } from '../../api/defects';
import { useStore } from '../state/hooks';
import { withdraw } from '../state/host';
import { t } from '../tongues/tongue';
import { orderName } from '../words/order';
import { FromHost } from './fromHost';
import { Signature } from './signature';

/** What is typed, and how it is sent. */
function useWithdrawal(entry: number) {
  const store = useStore();
  const [why, setWhy] = useState('');
  const [name, setName] = useState(store.state.orderedBy);
  const [mistake, setMistake] = useState('');
  const [sending, setSending] = useState(false);
  const [done, setDone] = useState('');
  async function send(event: Event): Promise<void> {
    event.preventDefault();
    const checked = orderName(name);
    const missing = why.trim() === '' ? t.log.withdraw.noWhy : '';
    setMistake(checked.mistake || missing);
    if (checked.mistake + missing !== '') return;
    setSending(true);
    const { ok, answer } = await withdraw({ entry, why, who: checked.who });
    setSending(false);
    if (!ok) return setMistake(answer);
    store.change((s) => ({ ...s, orderedBy: name }));
    setDone(answer);
  }
  return { why, setWhy, name, setName, mistake, sending, done, send };
}

/** Behind an entry that can be withdrawn. */
export function WithdrawForm({ entry }: { entry: number }): JSX.Element {
  const { why, setWhy, name, setName, mistake, sending, done, send } = useWithdrawal(entry);
  const id = `withdraw-${entry}`;
  if (done !== '')
    return (
      <p role="status">
        <FromHost text={done} />
      </p>
    );
  return (
    <details>
      <summary>
        {t.log.withdraw.open}
        <span class="unseen">: {t.log.withdraw.of(entry)}</span>
      </summary>
      <form class="confirm" onSubmit={send} aria-label={t.log.withdraw.form(entry)} noValidate>
        <p>{t.log.withdraw.what}</p>
        <label for={`${id}-why`}>{t.log.withdraw.why}</label>
        <input
          id={`${id}-why`}
          value={why}
          maxLength={REMARK_MAX}
          autoComplete="off"
          onInput={(e) => setWhy(e.currentTarget.value)}
        />
        <Signature id={`${id}-who`} name={name} onName={setName} mistake={mistake} />
        <div class="buttons">
          <button type="submit" class="sure" disabled={sending}>
            {sending ? t.orders.sending : t.log.withdraw.send}
          </button>
        </div>
      </form>
    </details>
  );
}
