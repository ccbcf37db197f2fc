import { describe, expect, it } from 'vitest';
import {
  addressOf,
  controllerOf,
  downKindOf,
  downTopics,
  isUpKind,
  type MessageKind,
  noticeTopic,
  readTopic,
  statusTopic,
  topicOf,
  upTopics,
} from '../../../firmware/contract/topics';

const UP: MessageKind[] = ['presence', 'state', 'record', 'live', 'reply'];
const DOWN: MessageKind[] = ['order', 'plan', 'settings', 'ack', 'time'];
const A = 'museum/ground-a';

describe('topics', () => {
  it.each([...UP, ...DOWN])('of kind %s are parsed as they are made', (kind) => {
    const topic = topicOf(addressOf('museum', 'ground-a'), kind);
    expect(topic).toBe(`nightproof/museum/ground-a/${kind}`);
    expect(readTopic(topic)).toEqual({ site: 'museum', controller: 'ground-a', address: A, kind });
    expect([isUpKind(kind), downKindOf(topic)]).toEqual(UP.includes(kind) ? [true, ''] : [false, kind]);
  });

  it.each([
    ['another root', 'daylight/museum/ground-a/state'],
    ['no root', 'museum/ground-a/state'],
    ['an unknown kind', 'nightproof/museum/ground-a/wish'],
    ['a kind that every object has', 'nightproof/museum/ground-a/toString'],
    ['a level too many', 'nightproof/museum/ground-a/host/record'],
    ['a level too few', 'nightproof/museum/state'],
    ['a name no site can have', 'nightproof/Museum/ground-a/state'],
    ['a wildcard', 'nightproof/museum/+/state'],
    ['the notice', noticeTopic('museum')],
    ['the status of the building', statusTopic('museum', 'building', '')],
    ['the status of a circuit', statusTopic('museum', 'circuit', 'ground-a')],
  ])('with %s do not belong to a controller', (_what, topic) => {
    expect(readTopic(topic)).toBeUndefined();
  });

  it('that a controller subscribes to are its own, one of each kind it receives', () => {
    expect(downTopics(A)).toEqual(DOWN.map((kind) => topicOf(A, kind)));
  });

  it('that the host subscribes to are those of all controllers, and only readings may be lost', () => {
    const topics = upTopics('museum');
    expect(Object.keys(topics).sort()).toEqual(UP.map((kind) => `nightproof/museum/+/${kind}`).sort());
    const lossy = Object.keys(topics).filter((topic) => topics[topic].qos === 0);
    expect(lossy).toEqual(['nightproof/museum/+/live']);
  });
});

it('an address names its controller', () => {
  expect(controllerOf(A)).toBe('ground-a');
});
