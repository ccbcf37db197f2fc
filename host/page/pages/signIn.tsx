// Signing in: with the password, or the first time with a one-time code.
import type { JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { AccountOutcome } from '../../api/accounts';
import { AccountField } from '../parts/accountField';
import { FromHost } from '../parts/fromHost';
import { Mistake } from '../parts/mistake';
import { restoreNow } from '../parts/order';
import { NewPassword, SecretField } from '../parts/secretField';
import { usePage, useStore } from '../state/hooks';
import { signInWithPasskey } from '../state/passkeys';
import { askSession, redeemCode, signIn, takeSession } from '../state/session';
import { t } from '../tongues/tongue';

/** Sends a form, and takes over the session that comes of it. */
function useSending() {
  const store = useStore();
  const [mistake, setMistake] = useState('');
  const [sending, setSending] = useState(false);
  async function send(event: Event, give: () => Promise<AccountOutcome>): Promise<void> {
    event.preventDefault();
    setSending(true);
    const { ok, answer } = await give();
    setSending(false);
    setMistake(ok ? '' : answer);
    if (!ok) return;
    const session = await askSession().catch((e: Error) => setMistake(e.message));
    if (!session) return;
    const { owedRestore } = store.state;
    // Before the page shows anything else.
    if (session.person && owedRestore !== '') await restoreNow(store, owedRestore, session.person.name);
    takeSession(store, session);
  }
  return { mistake, sending, send };
}

function PasswordForm(): JSX.Element {
  const { mistake, sending, send } = useSending();
  const [account, setAccount] = useState('');
  const [password, setPassword] = useState('');
  return (
    <form
      class="confirm"
      aria-label={t.signIn.title}
      onSubmit={(event) => send(event, () => signIn({ account, password }))}
      noValidate
    >
      <AccountField
        id="sign-in-account"
        label={t.signIn.account}
        autoComplete="username"
        value={account}
        onValue={setAccount}
      />
      <SecretField
        id="sign-in-password"
        label={t.signIn.password}
        value={password}
        autoComplete="current-password"
        onValue={setPassword}
      />
      <Mistake words={mistake} />
      <button type="submit" class="sure" disabled={sending}>
        {sending ? t.signIn.sending : t.signIn.send}
      </button>
    </form>
  );
}

/** With what a device keeps, opened by its own lock. */
function PasskeyButton(): JSX.Element {
  const { mistake, sending, send } = useSending();
  return (
    <form aria-label={t.passkeys.use} onSubmit={(e) => send(e, signInWithPasskey)} noValidate>
      <button type="submit" class="plain" disabled={sending}>
        {sending ? t.signIn.sending : t.passkeys.use}
      </button>
      <Mistake words={mistake} />
    </form>
  );
}

/** A one-time code and the password chosen with it; for the first administrator the name too. */
function CodeForm({ isFirst }: { isFirst: boolean }): JSX.Element {
  const { mistake, sending, send } = useSending();
  const [account, setAccount] = useState('');
  const [name, setName] = useState('');
  const [code, setCode] = useState('');
  const [password, setPassword] = useState('');
  const wish = { account, code, password, ...(isFirst && { name }) };
  const title = isFirst ? t.signIn.first : t.signIn.haveCode;
  return (
    <form class="confirm" aria-label={title} onSubmit={(e) => send(e, () => redeemCode(wish))} noValidate>
      {isFirst ? <p>{t.signIn.firstHow}</p> : null}
      <AccountField
        id="code-account"
        label={isFirst ? t.signIn.firstAccount : t.signIn.account}
        autoComplete="username"
        value={account}
        onValue={setAccount}
      />
      {isFirst ? (
        <>
          <label for="code-name">{t.signIn.fullName}</label>
          <input
            id="code-name"
            autoComplete="name"
            value={name}
            onInput={(e) => setName(e.currentTarget.value)}
          />
        </>
      ) : null}
      <label for="code">{t.signIn.code}</label>
      <input
        id="code"
        autoComplete="one-time-code"
        autoCapitalize="characters"
        spellcheck={false}
        value={code}
        onInput={(e) => setCode(e.currentTarget.value)}
      />
      <NewPassword id="code-password" value={password} onValue={setPassword} />
      <Mistake words={mistake} />
      <button type="submit" class="sure" disabled={sending}>
        {sending ? t.signIn.sending : t.signIn.choose}
      </button>
    </form>
  );
}

/** On the host's machine, where who may run it needs no account. */
const RESET = 'npm run -s nightproof -- accounts reset ACCOUNT SITE.yaml --who NAME';

/** What the only administrator does. A demonstration keeps no accounts: there is nothing to reset. */
function ForgottenByAll(): JSX.Element {
  if (usePage().session?.demonstration) return <p class="quiet">{t.signIn.forgottenSimulated}</p>;
  return (
    <p class="quiet">
      {t.signIn.forgottenByAll} <code>{RESET}</code>
    </p>
  );
}

/** Where the browser warns of the host's own authority. */
function TrustFirst(): JSX.Element | null {
  const { session } = usePage();
  if (!session?.ownAuthority) return null;
  return (
    <p class="quiet">
      {t.signIn.trust} <a href="/trust">{t.signIn.trustHow}</a>
    </p>
  );
}

/** Shown in place of every page but the notice until somebody has signed in. */
export function SignInPage(): JSX.Element {
  const { session, sessionEnded, owedRestore } = usePage();
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    if (sessionEnded) heading.current?.focus();
  }, [sessionEnded]);
  return (
    <>
      <h1 tabIndex={-1} ref={heading}>
        {session?.first ? t.signIn.first : t.signIn.title}
      </h1>
      {owedRestore === '' ? null : (
        <div class="outcome fault" role="alert">
          <h2>{t.signIn.notRestored(owedRestore)}</h2>
        </div>
      )}
      {sessionEnded ? <p role="status">{session?.first ? t.signIn.gone : t.signIn.ended}</p> : null}
      {session?.stranger ? (
        <p class="note" role="alert">
          {t.signIn.stranger(session.stranger)} <a href="/">{t.buildings.all}</a>
        </p>
      ) : null}
      {session?.trouble ? (
        <p class="note" role="alert">
          <FromHost text={session.trouble} />
        </p>
      ) : null}
      {session?.first ? (
        <>
          <CodeForm isFirst />
          <TrustFirst />
        </>
      ) : (
        <>
          <PasswordForm />
          <TrustFirst />
          {session?.passkeys ? <PasskeyButton /> : null}
          <details>
            <summary>{t.signIn.haveCode}</summary>
            <CodeForm isFirst={false} />
          </details>
          <p class="quiet">{t.signIn.forgotten}</p>
          <ForgottenByAll />
        </>
      )}
      <p>
        <a href="#/notice">{t.signIn.notice}</a>
      </p>
    </>
  );
}
