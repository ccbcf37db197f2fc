// Access tokens of programs that cannot sign in, for administrators: made, shown once, withdrawn.
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import {
  TOKEN_DAYS,
  TOKEN_DAYS_MAX,
  TOKEN_SCOPES,
  type TokenOutcome,
  type TokenRequest,
  type TokenScope,
  type TokenView,
} from '../../api/tokens';
import { here } from '../state/base';
import { useAsked, usePage } from '../state/hooks';
import { askTokens, changeToken } from '../state/session';
import { t } from '../tongues/tongue';
import { dayOf } from '../words/time';
import { Answer } from './mistake';

type Change = (wish: TokenRequest) => Promise<boolean>;

function One({ token, change }: { token: TokenView; change: Change }): JSX.Element {
  const zone = usePage().building?.timeZone ?? 'UTC';
  const { id, name, scope, state, until, used } = token;
  return (
    <li>
      <details>
        <summary>
          <strong>{name}</strong> ({id}): {t.tokens.scopes[scope]}, {t.tokens.states[state]}
        </summary>
        <div class="confirm">
          <p>
            {t.tokens.until(dayOf(until, zone))}{' '}
            {used === 0 ? t.tokens.neverUsed : t.tokens.lastUsed(dayOf(used, zone))}
          </p>
          {state === 'withdrawn' ? null : (
            <div class="buttons">
              <button type="button" class="sure" onClick={() => change({ do: 'withdraw', token: id })}>
                {t.tokens.withdraw}
              </button>
            </div>
          )}
        </div>
      </details>
    </li>
  );
}

function NewToken({ change }: { change: Change }): JSX.Element {
  const [name, setName] = useState('');
  const [scope, setScope] = useState<TokenScope>('calendar');
  const [days, setDays] = useState(TOKEN_DAYS);
  async function send(event: Event): Promise<void> {
    event.preventDefault();
    if (await change({ do: 'make', name, scope, days })) setName('');
  }
  return (
    <form class="confirm" aria-label={t.tokens.make} onSubmit={send} noValidate>
      <label for="token-name">{t.tokens.name}</label>
      <input
        id="token-name"
        autoComplete="off"
        value={name}
        onInput={(e) => setName(e.currentTarget.value)}
      />
      <label for="token-scope">{t.tokens.scope}</label>
      <select id="token-scope" value={scope} onChange={(e) => setScope(e.currentTarget.value as TokenScope)}>
        {TOKEN_SCOPES.map((one) => (
          <option key={one} value={one}>
            {t.tokens.scopes[one]}
          </option>
        ))}
      </select>
      <label for="token-days">{t.tokens.days}</label>
      <input
        id="token-days"
        type="number"
        min={1}
        max={TOKEN_DAYS_MAX}
        value={days}
        onInput={(e) => setDays(Math.round(e.currentTarget.valueAsNumber) || 0)}
      />
      <div class="buttons">
        <button type="submit" class="sure">
          {t.tokens.make}
        </button>
      </div>
    </form>
  );
}

/** The one time that a token is seen. */
function Shown({ secret, isCalendar }: { secret: string; isCalendar: boolean }): JSX.Element {
  return (
    <p class="note">
      {isCalendar ? t.tokens.address : t.tokens.secret}{' '}
      <strong class="code">
        {isCalendar ? `${window.location.origin}${here('/calendar.ics')}?token=${secret}` : secret}
      </strong>{' '}
      {isCalendar ? t.tokens.addressOnce : t.tokens.secretOnce}
    </p>
  );
}

export function Tokens(): JSX.Element {
  const [round, setRound] = useState(0);
  const [said, setSaid] = useState<TokenOutcome & { isCalendar?: boolean }>({ ok: true, answer: '' });
  const { value, problem } = useAsked(askTokens, 'tokens', round);
  const change: Change = async (wish) => {
    const outcome = await changeToken(wish);
    setSaid({ ...outcome, isCalendar: wish.do === 'make' && wish.scope === 'calendar' });
    setRound((n) => n + 1);
    return outcome.ok;
  };
  return (
    <>
      <h2>{t.tokens.title}</h2>
      <p>{t.tokens.what}</p>
      {problem === '' ? null : <p role="alert">{problem}</p>}
      <Answer said={said}>
        {said.secret === undefined ? null : (
          <Shown secret={said.secret} isCalendar={said.isCalendar === true} />
        )}
      </Answer>
      <ul class="accounts">
        {value?.map((token) => (
          <One key={token.id} token={token} change={change} />
        ))}
      </ul>
      <NewToken change={change} />
    </>
  );
}
