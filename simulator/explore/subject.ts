// The part of the firmware under exploration as one object: the shipped core, or a deliberately broken copy
// of it (mutants.ts).
import { intentStored } from '../../firmware/core/discharge';
import { orderRecord, queueRecord } from '../../firmware/core/records';
import { closeLostOpening, newRecovery, recoverRecord, resumeHold } from '../../firmware/core/recovery';
import { takePlan } from '../../firmware/core/schedule';
import { takeSettings } from '../../firmware/core/settings';
import { newCore } from '../../firmware/core/state';
import { start, step, takeAnswer, takeOrder } from '../../firmware/core/step';

export const subject = {
  newCore,
  start,
  step,
  takeAnswer,
  takeOrder,
  intentStored,
  newRecovery,
  recoverRecord,
  closeLostOpening,
  resumeHold,
  queueRecord,
  orderRecord,
  takePlan,
  takeSettings,
};

export type Subject = typeof subject;
