// The clock of the phone or computer that shows the page. It runs on while the phone sleeps, which no other clock of a
// browser does; whether it is right is judged by the host's.

/** UTC second by this device. */
export function phoneSec(): number {
  return Date.now() / 1000;
}
