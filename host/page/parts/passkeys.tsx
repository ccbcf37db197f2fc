// The own passkeys: added and removed with the password.
import type { JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { AccountOutcome } from '../../api/accounts';
import { useAsked, usePage } from '../state/hooks';
import { addPasskey, askPasskeys, removePasskey } from '../state/passkeys';
import { t } from '../tongues/tongue';
import { dayOf } from '../words/time';
import { Mistake } from './mistake';
import { SecretField } from './secretField';

/** Asks for the password before one is removed. */
function Removal({
  name,
  sending,
  remove,
  cancel,
}: {
  name: string;
  sending: boolean;
  remove: (password: string) => void;
  cancel: () => void;
}): JSX.Element {
  const [password, setPassword] = useState('');
  const field = useRef<HTMLInputElement>(null);
  useEffect(() => field.current?.focus(), []);
  return (
    <form
      class="confirm"
      aria-label={t.passkeys.removeOf(name)}
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        remove(password);
      }}
    >
      <SecretField
        id="removal-password"
        label={t.account.old}
        value={password}
        autoComplete="current-password"
        onValue={setPassword}
        field={field}
      />
      <div class="buttons">
        <button type="submit" class="sure" disabled={sending}>
          {sending ? t.orders.sending : t.passkeys.remove}
        </button>
        <button type="button" class="plain" onClick={cancel}>
          {t.defects.cancel}
        </button>
      </div>
    </form>
  );
}

export function Passkeys(): JSX.Element {
  const zone = usePage().building?.timeZone ?? 'UTC';
  const [round, setRound] = useState(0);
  const [name, setName] = useState('');
  const [password, setPassword] = useState('');
  const [said, setSaid] = useState<AccountOutcome>({ ok: true, answer: '' });
  const [sending, setSending] = useState(false);
  const [removing, setRemoving] = useState('');
  const { value, problem } = useAsked(askPasskeys, 'passkeys', round);
  async function done(outcome: Promise<AccountOutcome>): Promise<void> {
    setSending(true);
    const told = await outcome;
    setSending(false);
    setSaid(told);
    setRound((n) => n + 1);
    if (!told.ok) return;
    setRemoving('');
    setName('');
    setPassword('');
  }
  return (
    <>
      <h2>{t.passkeys.title}</h2>
      <p>{t.passkeys.what}</p>
      {problem === '' ? null : <p role="alert">{problem}</p>}
      <ul class="accounts">
        {value?.map((passkey) => (
          <li key={passkey.id}>
            <strong>{passkey.name}</strong> ({passkey.host}).{' '}
            {passkey.used === 0 ? t.tokens.neverUsed : t.tokens.lastUsed(dayOf(passkey.used, zone))}{' '}
            {removing === passkey.id ? (
              <Removal
                name={passkey.name}
                sending={sending}
                remove={(secret) => void done(removePasskey(passkey.id, secret))}
                cancel={() => setRemoving('')}
              />
            ) : (
              <button
                type="button"
                class="plain"
                aria-label={t.passkeys.removeOf(passkey.name)}
                disabled={sending}
                onClick={() => setRemoving(passkey.id)}
              >
                {t.passkeys.remove}
              </button>
            )}
          </li>
        ))}
      </ul>
      <form
        class="confirm"
        aria-label={t.passkeys.add}
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          void done(addPasskey(name, password));
        }}
      >
        <label for="passkey-name">{t.passkeys.name}</label>
        <input
          id="passkey-name"
          autoComplete="off"
          value={name}
          onInput={(e) => setName(e.currentTarget.value)}
        />
        <SecretField
          id="passkey-password"
          label={t.account.old}
          value={password}
          autoComplete="current-password"
          onValue={setPassword}
        />
        <Mistake words={said.answer} isGood={said.ok} />
        <button type="submit" class="sure" disabled={sending}>
          {sending ? t.orders.sending : t.passkeys.add}
        </button>
      </form>
    </>
  );
}
