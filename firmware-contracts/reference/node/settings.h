// Replace this by the lines the page Devices shows when a device is added. Keep the secret out of what you publish.
#define STRIKEWELL_HOST "192.0.2.10"
#define STRIKEWELL_PORT 1883
#define STRIKEWELL_TLS 0
#define STRIKEWELL_DEVICE "bench-1" /* also user name and client id */
#define STRIKEWELL_SECRET ""
