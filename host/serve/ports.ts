/** Port that MQTT brokers listen on (registered with IANA for MQTT). */
export const MQTT_PORT = 1883;
/** The same by TLS. */
export const MQTTS_PORT = 8883;
/** Port of the page, a free one of our choice. */
export const PAGE_PORT = 8350;
/** Port of a witness, a free one of our choice. */
export const WITNESS_PORT = 8351;
