# What differs between boards: the network, the clock, the watchdog, sleep. For any board with Wi-Fi and the MicroPython
# of its maker.
import time

JOIN_MS = 15000
WATCHDOG_MS = 8000  # the most that the smallest boards can count


class Board:
    def __init__(self, watchdog=True):
        from machine import WDT
        from network import STA_IF, WLAN

        self.wlan = WLAN(STA_IF)
        self.watchdog = WDT(timeout=WATCHDOG_MS) if watchdog else None

    def feed(self):
        if self.watchdog is not None:
            self.watchdog.feed()

    def join(self, wifi):
        if self.wlan.isconnected():
            return
        self.wlan.active(True)
        self.wlan.connect(wifi["name"], wifi["password"])
        waited_ms = 0
        while not self.wlan.isconnected():
            if waited_ms >= JOIN_MS:
                self.wlan.disconnect()
                raise OSError("no Wi-Fi")
            self.feed()
            time.sleep_ms(200)
            waited_ms += 200

    def set_clock(self):
        import ntptime

        ntptime.settime()

    def signal_dbm(self):
        try:
            return self.wlan.status("rssi")
        except Exception:  # a board that cannot say
            return None

    def read_file(self, path):
        with open(path, "rb") as file:
            return file.read()

    def deep_sleep(self, seconds):
        from machine import deepsleep

        deepsleep(seconds * 1000)
