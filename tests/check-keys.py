#!/usr/bin/env python3
"""Every key the window listens to stands on the page of keys, and the page names none that does nothing: both are read from the sources, so the page cannot go stale."""
import os
import re
import sys
import xml.etree.ElementTree as tree

APP = os.path.join(os.path.dirname(os.path.dirname(os.path.abspath(__file__))), "src", "app")


def source(name):
    with open(os.path.join(APP, name), encoding="utf-8") as text:
        return text.read()


def key(accel):
    """"<Control><Shift>s" as a set of modifiers and a name; letters in one case."""
    mods = re.findall(r"<(\w+)>", accel)
    name = re.sub(r"<\w+>", "", accel)
    return frozenset(mods), name.lower() if len(name) == 1 else name


page_actions, page_keys = {}, {}
for item in tree.fromstring(source("gtk/help-overlay.ui")).iter("object"):
    if item.get("class") != "GtkShortcutsShortcut":
        continue
    words = {p.get("name"): p.text for p in item.findall("property")}
    if "action-name" in words:
        page_actions[words["action-name"]] = words["title"]
    for accel in (words.get("accelerator") or "").split():
        page_keys[key(accel)] = words["title"]

# What the program listens to: actions by name, keys by themselves.
table = re.search(r"static const Accel accels\[\] = \{(.*?)\n\};", source("application.c"), re.S).group(1)
actions = set(re.findall(r'\{ "([^"]+)", \{', table))
keys, plain = set(), set()
for name in sorted(os.listdir(APP)):
    if not re.fullmatch(r"(tool-\w+|canvas[\w-]*)\.c", name):
        continue
    text = source(name)
    tool = re.search(r'\.key = "([\w-]+)".*?\.accel = "([^"]+)"', text, re.S)
    if tool:
        actions.add("win.tool::" + tool.group(1))
    if name == "canvas-arrange.c":
        keys |= {key(accel) for accel in re.findall(r'"((?:<\w+>)+\w+)"', text)}
    elif name == "canvas-commands.c":
        # Those with Ctrl stand in a table; what the window has as an action is there already.
        keys |= {key("<Control>" + k) for k in re.findall(r"\{ GDK_KEY_(?!KP_)(\w+), GDK_CONTROL_MASK", text)}
    else:
        plain |= {k for k in re.findall(r"GDK_KEY_(\w+)", text) if not k.startswith(("KP_", "ISO_"))}
for binding in re.findall(r'"(<Control>[^"]+)"', table):
    keys.discard(key(binding))
plain = {k.lower() if len(k) == 1 else k for k in plain}

faults = [f"{action} has a key, and no row on the page" for action in sorted(actions - set(page_actions))]
faults += [f"the page has a row for {action}, which has no key" for action in sorted(set(page_actions) - actions)]
faults += [f"{'+'.join(sorted(mods) + [name])} does something, and has no row on the page" for mods, name in sorted(keys - set(page_keys), key=str)]
shown = {name for _, name in page_keys}
faults += [f"{name} does something on the paper, and has no row on the page" for name in sorted(plain - shown)]
faults += [
    f"the page says {name} for “{title}”, which no source listens to"
    for (mods, name), title in page_keys.items()
    if name not in plain and (mods, name) not in keys
]
if len(actions) < 30 or len(keys) < 10 or len(plain) < 20:
    faults.append(f"only {len(actions)} actions, {len(keys)} keys, {len(plain)} letters found; is this the right folder?")
for fault in faults:
    print(fault)
sys.exit(1 if faults else 0)
