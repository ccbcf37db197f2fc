// The usual cautions, shown wherever a command may cause a relay to open.

export const CAUTION =
  'Caution: this cuts the supply to emergency luminaires. An open relay is not isolation: before any work, ' +
  'isolate upstream, lock off and prove dead. Fitting is for competent electricians only; local codes prevail. ' +
  'Nightproof is an open design without any certification, and its results come from an automatic electrical ' +
  'test only.';
