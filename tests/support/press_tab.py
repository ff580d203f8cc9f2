"""Completes lines in an interactive shell, in a pseudo-terminal.

    press_tab.py bash|zsh SCRIPT DIRECTORY

Each line of standard input is typed in DIRECTORY, all completions of its last word are inserted (insert-completions
in bash, the completer _all_matches in zsh), and the resulting line is printed. For a line that begins with "?" zsh
lists the completions instead, and the list is printed.
"""
import fcntl
import os
import pty
import re
import struct
import sys
import termios

SETUP = {
    "bash": r"""
source SCRIPT
PS1=
show() { printf '\1%s\2' "$READLINE_LINE"; READLINE_LINE=; READLINE_POINT=0; }
bind '"\C-t": insert-completions'
bind -x '"\C-g": show'
printf '\1\2'
""",
    "zsh": r"""
PS1=
fpath=(${${:-SCRIPT}:h} $fpath)
autoload -U compinit && compinit -u -D
zstyle ':completion:every:*' completer _all_matches _complete
zstyle ':completion:every:*' insert true
zstyle ':completion:*' format '%d'
zle -C every complete-word _generic
show() { print -rn -- $'\1'"$BUFFER"$'\2'; BUFFER= }
zle -N show
bindkey '^T' every
bindkey '^Y' list-choices
bindkey '^G' show
unset zle_bracketed_paste
print -n '\1\2'
""",
}
COMMAND = {"bash": ["bash", "--norc", "--noprofile", "-i"], "zsh": ["zsh", "-f", "-i"]}


def shown(terminal):
    """The displayed text, and the line that the shell prints between two marks."""
    text = b""
    while True:
        text += os.read(terminal, 65536)
        if found := re.search(rb"(.*)\x01([^\x01\x02]*)\x02", text, re.DOTALL):
            return found[1].decode(), found[2].decode()


shell, script, directory = sys.argv[1:]
setup = os.path.join(directory, ".setup")
with open(setup, "w") as file:
    file.write(SETUP[shell].replace("SCRIPT", script))
process, terminal = pty.fork()
if process == 0:
    os.chdir(directory)
    os.environ.update(HOME=directory, HISTFILE="", INPUTRC="/dev/null", LC_ALL="C.UTF-8", TERM="dumb")
    os.execvp(COMMAND[shell][0], COMMAND[shell])
fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 50, 400, 0, 0))
os.write(terminal, b" . ./.setup\n")
shown(terminal)
for line in sys.stdin:
    line = line.rstrip("\n")
    wants_list = line.startswith("?")
    os.write(terminal, line.lstrip("?").encode() + (b"\x19" if wants_list else b"\x14") + b"\x07")
    displayed, completed = shown(terminal)
    print(re.sub(r"\s+", " ", displayed) if wants_list else completed, flush=True)
os.close(terminal)
