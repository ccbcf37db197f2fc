// MQTT topics under nightproof/<site>/<controller>/: the last level is the kind of message, and the
// kind is also part of what is signed, so that one message can never be passed off as another.

export type UpKind = 'presence' | 'state' | 'record' | 'live' | 'reply';
export type DownKind = 'order' | 'plan' | 'settings' | 'ack' | 'time';
export type MessageKind = UpKind | DownKind;

/** `site/controller`, both [a-z0-9-]{1,24}: the address of a controller, signed with every message. */
export function topicOf(address: string, kind: MessageKind): string {
  return 'nightproof/' + address + '/' + kind;
}
