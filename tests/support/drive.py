"""drive.py: the real program under real pointer and key events, on the display that is there (an Xvfb with openbox).

Import it: d = Drive(PROGRAM, SCHEMAS); d.start(DOCUMENT) ... d.end().  Every wait ends when its condition holds, not after a time guessed.
As a command, for looking at the program by hand:  drive.py PROGRAM SCHEMAS FOLDER [-g WxH] [-s KEY=VALUE]... [-d DOCUMENT] ACTION...
with an ACTION one word-list in quotes: "click X Y", "double X Y", "right X Y", "drag X Y X2 Y2", "hover X Y", "key NAME...", "type TEXT", "shot NAME", "wait SECONDS"."""
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time


def wait(condition, seconds=15):
    """What CONDITION returns as soon as it is true; None when it never is."""
    end = time.monotonic() + seconds
    while True:
        value = condition()
        if value:
            return value
        if time.monotonic() > end:
            return None
        time.sleep(0.04)


def tell(*words):
    done = subprocess.run(["xdotool", *map(str, words)], capture_output=True, text=True, check=False, timeout=30)
    return done.stdout.strip()


def picture():
    """The bytes on the screen, to see when they rest; their colours mean nothing here."""
    return subprocess.run(["import", "-silent", "-window", "root", "-depth", "8", "rgb:-"], capture_output=True, check=False, timeout=30).stdout


def settle(seconds=6):
    """Waits until three pictures in a row are the same."""
    last, same, end = picture(), 0, time.monotonic() + seconds
    while same < 2 and time.monotonic() < end:
        time.sleep(0.1)
        now = picture()
        same = same + 1 if now == last else 0
        last = now


def shot(path, crop=None):
    subprocess.run(["import", "-silent", "-window", "root", *(["-crop", crop, "+repage"] if crop else []), path], check=True, timeout=30)


def move(x, y):
    if f"x:{round(x)} y:{round(y)} " not in tell("getmouselocation") + " ":  # with --sync it would wait 15 s for a pointer that is there
        tell("mousemove", "--sync", round(x), round(y))
    time.sleep(0.04)


def click(x, y, button=1, times=1):
    move(x, y)
    tell("click", "--repeat", times, "--delay", 60, button)
    time.sleep(0.1)


def path(points, button=1, pause=0.012):
    """The pointer down at the first of POINTS, along all of them, up at the last."""
    move(*points[0])
    tell("mousedown", button)
    for x, y in points[1:]:
        tell("mousemove", round(x), round(y))
        time.sleep(pause)
    tell("mouseup", button)
    time.sleep(0.1)


def drag(x0, y0, x1, y1, steps=12):
    path([(x0 + (x1 - x0) * i / steps, y0 + (y1 - y0) * i / steps) for i in range(steps + 1)])


def key(*names):
    for name in names:
        tell("key", "--clearmodifiers", name)
        time.sleep(0.08)


class Drive:
    """One home folder, and the program in it: started, ended and started again as often as is wanted."""

    def __init__(self, program, schemas, size=(1440, 900), settings=None, home=None, accessible=False):
        self.program, self.schemas, self.size = program, schemas, size
        self.home = home or tempfile.mkdtemp(prefix="drive-")
        self.own = home is None
        self.accessible = accessible
        self.process = self.window = self.manager = None
        self.backend = "memory"
        if settings:
            self.backend = "keyfile"
            folder = os.path.join(self.home, "config/glib-2.0/settings")
            os.makedirs(folder, exist_ok=True)
            with open(os.path.join(folder, "keyfile"), "w", encoding="utf-8") as out:
                out.write("[net/panelwright/Panelwright]\n" + "".join(f"{k}={v}\n" for k, v in settings.items()))
        self.log = open(os.path.join(self.home, "log"), "a", encoding="utf-8")
        if not tell("getactivewindow"):  # nobody manages windows here yet
            self.manager = subprocess.Popen(["openbox"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            wait(lambda: subprocess.run(["xprop", "-root", "_NET_SUPPORTING_WM_CHECK"], capture_output=True, text=True, check=False).stdout.find("window id") >= 0, 5)

    def windows(self):
        return tell("search", "--onlyvisible", "--pid", self.process.pid).split()

    def start(self, *documents):
        env = dict(os.environ, HOME=self.home, GDK_BACKEND="x11", GSK_RENDERER="cairo", GSETTINGS_BACKEND=self.backend, GSETTINGS_SCHEMA_DIR=self.schemas, GTK_A11Y="atspi" if self.accessible else "none")
        env.setdefault("LC_ALL", "C.UTF-8")
        env.setdefault("PANELWRIGHT_DATA", os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..", "data"))
        for name in ("STATE", "DATA", "CONFIG", "CACHE"):
            env[f"XDG_{name}_HOME"] = os.path.join(self.home, name.lower())
            os.makedirs(env[f"XDG_{name}_HOME"], exist_ok=True)
        env.pop("WAYLAND_DISPLAY", None)
        self.process = subprocess.Popen([self.program, *documents], env=env, stdout=self.log, stderr=self.log)
        found = wait(lambda: self.process.poll() is not None or self.windows(), 60)  # the bus for assistive tools alone may take 25 s to say no
        self.window = found[-1] if isinstance(found, list) else None
        if self.window:
            self.focus()
            # Not with --sync: that waits 15 s for a change where there is none to be made.
            tell("windowmove", self.window, 0, 0)
            tell("windowsize", self.window, *self.size)
            settle()
        return self.window is not None

    def running(self):
        return self.process is not None and self.process.poll() is None

    def focus(self):
        tell("windowactivate", self.window)
        wait(lambda: tell("getactivewindow") == self.window, 3)

    def end(self, how=signal.SIGTERM):
        if self.running():
            self.process.send_signal(how)
        self.process.wait(10)

    def said(self):
        """How it ended, if it did, and the last it wrote."""
        with open(os.path.join(self.home, "log"), encoding="utf-8", errors="replace") as log:
            return f"exit {self.process.poll()}: {log.read()[-2000:]}"

    def criticals(self):
        with open(os.path.join(self.home, "log"), encoding="utf-8", errors="replace") as log:
            return [line.strip() for line in log if "CRITICAL" in line or "-WARNING **" in line and "panelwright" in line.lower() and "theme" not in line.lower()]

    def close(self):
        if self.running():
            self.process.kill()
            self.process.wait(10)
        if self.manager:
            self.manager.terminate()
            self.manager.wait(10)
        self.log.close()
        if self.own:
            shutil.rmtree(self.home, ignore_errors=True)


def act(folder, line):
    verb, *rest = line.split()
    numbers = [float(r) for r in rest] if verb in ("click", "double", "right", "drag", "hover", "wait") else []
    if verb == "click":
        click(*numbers)
    elif verb == "double":
        click(*numbers, times=2)
    elif verb == "right":
        click(*numbers, button=3)
    elif verb == "drag":
        drag(*numbers)
    elif verb == "hover":
        move(*numbers)
    elif verb == "key":
        key(*rest)
    elif verb == "type":
        tell("type", "--delay", 20, "--", " ".join(rest))
    elif verb == "shot":
        settle()
        shot(os.path.join(folder, rest[0] + ".png"))
    elif verb == "wait":
        time.sleep(numbers[0])
    else:
        raise SystemExit(f"drive.py: no action “{verb}”")


def main(words):
    program, schemas, folder, *words = words
    size, settings, documents = (1440, 900), {}, []
    while words and words[0].startswith("-"):
        option, value, *words = words
        if option == "-g":
            size = tuple(map(int, value.split("x")))
        elif option == "-s":
            settings.update([value.split("=", 1)])
        elif option == "-d":
            documents.append(value)
    os.makedirs(folder, exist_ok=True)
    drive = Drive(program, schemas, size, settings)
    try:
        drive.start(*documents)
        for line in words:
            act(folder, line)
        print("\n".join(drive.criticals()) or "nothing critical said", "" if drive.running() else "; ended")
    finally:
        drive.close()


if __name__ == "__main__":
    main(sys.argv[1:])
