// One's own account: who one is here, another password, and signing out.
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import type { AccountOutcome } from '../../api/accounts';
import { Mistake } from '../parts/mistake';
import { Passkeys } from '../parts/passkeys';
import { NewPassword, SecretField } from '../parts/secretField';
import { placeOfPage } from '../state/base';
import { usePage, useStore } from '../state/hooks';
import { askSession, changePassword, signOut, takeSession } from '../state/session';
import { t } from '../tongues/tongue';

function PasswordForm({ account, onChanged }: { account: string; onChanged: () => void }): JSX.Element {
  const [old, setOld] = useState('');
  const [password, setPassword] = useState('');
  const [said, setSaid] = useState<AccountOutcome | null>(null);
  const [sending, setSending] = useState(false);
  async function send(event: Event): Promise<void> {
    event.preventDefault();
    setSending(true);
    const outcome = await changePassword({ old, password });
    setSending(false);
    setSaid(outcome);
    if (!outcome.ok) return;
    setOld('');
    setPassword('');
    onChanged();
  }
  return (
    <form class="confirm" aria-label={t.account.change} onSubmit={send} noValidate>
      {/* Password managers need to know whose it is. */}
      <input hidden readOnly autoComplete="username" value={account} />
      <SecretField
        id="old-password"
        label={t.account.old}
        value={old}
        autoComplete="current-password"
        onValue={setOld}
      />
      <NewPassword id="new-password" value={password} onValue={setPassword} />
      <Mistake words={said?.answer ?? ''} isGood={said?.ok === true} />
      <button type="submit" class="sure" disabled={sending}>
        {sending ? t.orders.sending : t.account.change}
      </button>
    </form>
  );
}

/** Page of whoever is signed in. */
export function AccountPage(): JSX.Element {
  const store = useStore();
  const { session } = usePage();
  const [mistake, setMistake] = useState('');
  const [passwords, setPasswords] = useState(0);
  const person = session?.person;
  async function leave(everywhere: boolean): Promise<void> {
    const { ok, answer } = await signOut({ everywhere });
    setMistake(ok ? '' : answer);
    if (ok) takeSession(store, await askSession());
  }
  if (!person)
    return (
      <>
        <h1>{t.frame.account}</h1>
        <p>{t.accounts.none}</p>
      </>
    );
  return (
    <>
      <h1>{person.name}</h1>
      <p>{t.account.is(person.id, t.accounts.roles[person.role])}</p>
      <div class="buttons">
        <button type="button" class="sure" onClick={() => leave(false)}>
          {t.account.signOut}
        </button>
        <button type="button" class="plain" onClick={() => leave(true)}>
          {t.account.everywhere}
        </button>
      </div>
      <Mistake words={mistake} />
      {person.role === 'administrator' ? (
        <p>
          <a href={`${placeOfPage() === 'one' ? '/' : ''}#/accounts`}>{t.frame.accounts}</a>
        </p>
      ) : null}
      <h2>{t.account.change}</h2>
      <p>{t.account.others}</p>
      <PasswordForm account={person.id} onChanged={() => setPasswords((n) => n + 1)} />
      {/* Another password removes them. */}
      {session.passkeys ? <Passkeys key={passwords} /> : null}
    </>
  );
}
