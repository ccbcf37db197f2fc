// The part of the firmware that is explored, as one object: the shipped core itself, or a deliberately
// broken copy of it (mutants.ts).
import { takeTime } from '../../firmware/core/clock';
import { endOutsideWindow, intentStored } from '../../firmware/core/discharge';
import { closeLostOpening, newRecall, recallRecord, resumeHold } from '../../firmware/core/recall';
import { eventRecord, orderRecord, put } from '../../firmware/core/records';
import { takePlan } from '../../firmware/core/schedule';
import { takeSettings } from '../../firmware/core/settings';
import { newCore } from '../../firmware/core/state';
import { start, step, takeOrder } from '../../firmware/core/step';

export const subject = {
  newCore,
  start,
  step,
  takeOrder,
  intentStored,
  newRecall,
  recallRecord,
  closeLostOpening,
  resumeHold,
  endOutsideWindow,
  put,
  eventRecord,
  orderRecord,
  takePlan,
  takeSettings,
  takeTime,
};

export type Subject = typeof subject;
