#include "completion.h"

#include <fmt/format.h>

#include <algorithm>

#include "usage.h"

namespace gyle {
namespace {

// Both shells find the vessels in use by the beginnings of the batches in the answer:
// {"id":1,"vessel":"left".
constexpr const char* kVesselsInUse =
    R"sh(status --json 2>/dev/null |
    grep -o '"id": *[0-9]*, *"vessel": *"[^"\\]*"' | sed 's/.*"vessel": *"//; s/"$//')sh";

constexpr const char* kBashBegin =
    R"sh(# Completion of gylekeeper for bash, generated from the descriptions of its verbs.

_gylekeeper_batches() {
  timeout 1 "$@" VESSELS_IN_USE
}

# Offers what of the given words, one a line, begins as the present one does.
_gylekeeper_offer() {
  local line reply
  while IFS= read -r line; do
    if [[ $cur == [\"\']* ]]; then
      reply=$line
      # Inside quotes bash takes the reply as it is.
      [[ $line == "${cur:1}"* && $line != *[\"\'\\\$\`]* ]] || continue
    else
      printf -v reply %q "$line"
      [[ $reply == "$cur"* ]] || continue
      # It replaces what follows the last : or = only.
      reply=${reply#"${cur%"${cur##*[:=]}"}"}
    fi
    COMPREPLY+=("$reply")
  done
}

_gylekeeper() {
  # Bash cuts words at : and =; here they are whole.
  local words=() glue= word i
  for ((i = 1; i <= COMP_CWORD; i++)); do
    word=${COMP_WORDS[i]}
    if ((${#words[@]})) && [[ $glue || $word =~ ^[:=]+$ ]]; then
      words[-1]+=$word
      [[ $word =~ ^[:=]+$ ]] && glue=yes || glue=
    else
      words+=("$word")
    fi
  done
  local cur=${words[-1]}
  unset 'words[-1]'

  # What was given already. "takes" says what an option or a place is completed with.
  local verb= expects= place=0 more= given=' ' places=() ask=()
  local -A takes=(COMMON ['--version']='') bars=() repeats=()
  ask=("${COMP_WORDS[0]/#\~\//$HOME/}")
  for word in "${words[@]}"; do
    if [[ $expects ]]; then
      expects=
      # What the shell would still have to unquote is not asked with.
      [[ ${ask[-1]} == --* && $word != *[\"\'\\\$\`]* ]] && ask+=("${word/#\~\//$HOME/}")
    elif [[ $word == --*=* ]]; then
      given+="${word%%=*} "
      [[ $word == --@(config|socket)=* ]] && ask+=("${word%%=*}" "${word#*=}")
    elif [[ $word == -* ]]; then
      given+="$word "
      expects=${takes[$word]}
      [[ $word == --@(config|socket) ]] && ask+=("$word")
    elif [[ ! $verb ]]; then
      verb=$word
      unset 'takes[--version]'
      case $verb in
)sh";
constexpr const char* kBashEnd = R"sh(      esac
    else
      ((++place))
    fi
  done
  [[ ${ask[-1]} == --* ]] && unset 'ask[-1]'

  COMPREPLY=()
  if [[ ! $expects && $cur == --*=* ]]; then
    expects=${takes[${cur%%=*}]}
    cur=${cur#*=}
  elif [[ ! $expects && $cur == -* ]]; then
    local bar
    for word in "${!takes[@]}"; do
      [[ $given == *" $word "* && ! ${repeats[$word]} ]] && continue
      for bar in ${bars[$word]}; do
        [[ $given == *" $bar "* ]] && continue 2
      done
      _gylekeeper_offer <<<"$word"
    done
    return
  elif [[ ! $expects && ! $verb ]]; then
    _gylekeeper_offer <<<'VERBS'
    return
  elif [[ ! $expects ]]; then
    expects=${places[place]-$more}
  fi
  case $expects in
    files) compopt -o default ;;
    batches) _gylekeeper_offer < <(_gylekeeper_batches "${ask[@]}") ;;
    choice*) _gylekeeper_offer <<<"${expects#*$'\n'}" ;;
  esac
}
complete -F _gylekeeper gylekeeper
)sh";

constexpr const char* kZshBegin = R"sh(#compdef gylekeeper
# Completion of gylekeeper for zsh, generated from the descriptions of its verbs.

_gylekeeper_batches() {
  local -a ask=("${(Q)words_before[1]/#\~\//$HOME/}") batches
  local option value
  for option in --config --socket; do
    value=${opt_args[$option]:-${opt_args_before[$option]}}
    [[ -n $value ]] && ask+=($option "${${(Q)value}/#\~\//$HOME/}")
  done
  batches=(${(f)"$(timeout 1 $ask VESSELS_IN_USE)"})
  _wanted batches expl batch compadd -a batches
}

_gylekeeper() {
  local curcontext=$curcontext state line given
  local -a common words_before=($words) verbs
  local -A opt_args opt_args_before
  common=(
)sh";

std::string replaced(std::string text, const std::string& what, const std::string& by) {
  for (std::size_t at = 0; (at = text.find(what, at)) != std::string::npos; at += by.size()) {
    text.replace(at, what.size(), by);
  }
  return text;
}

std::string escaped(const std::string& text, const char* special) {
  std::string result;
  for (const char c : text) {
    if (std::string_view(special).find(c) != std::string_view::npos) result += '\\';
    result += c;
  }
  return result;
}

// One word of either shell.
std::string one_word(const std::string& text) { return "'" + replaced(text, "'", "'\\''") + "'"; }

std::string bash_kind(const Argument& argument) {
  if (is_flag(argument)) return "''";
  if (!argument.choices.empty()) {
    return one_word(fmt::format("choice\n{}", fmt::join(argument.choices, "\n")));
  }
  switch (argument.offer) {
    case Offer::files:
      return "files";
    case Offer::batches:
      return "batches";
    case Offer::nothing:
      break;
  }
  return "text";
}

std::string bash_takes(const std::vector<Argument>& arguments) {
  std::string all;
  for (const Argument& argument : arguments) {
    if (!by_place(argument)) all += fmt::format("['{}']={} ", argument.name, bash_kind(argument));
  }
  return all + "['--help']=''";
}

// Options that cannot stand beside this one, whichever of them says so.
std::vector<std::string> barred_by(const Argument& argument, const Verb& verb) {
  std::vector<std::string> bars = argument.excludes;
  for (const Argument& other : verb.arguments) {
    if (std::count(other.excludes.begin(), other.excludes.end(), argument.name) != 0 &&
        std::count(bars.begin(), bars.end(), other.name) == 0) {
      bars.push_back(other.name);
    }
  }
  return bars;
}

std::string bash_case(const Verb& verb) {
  std::string text =
      fmt::format("        {})\n          takes+=({})\n", verb.name, bash_takes(verb.arguments));
  std::string places, bars, repeats;
  for (const Argument& argument : verb.arguments) {
    if (by_place(argument)) {
      places += (places.empty() ? "" : " ") + bash_kind(argument);
      if (may_repeat(argument)) text += fmt::format("          more={}\n", bash_kind(argument));
      continue;
    }
    if (may_repeat(argument)) repeats += fmt::format("['{}']=yes ", argument.name);
    if (const auto others = barred_by(argument, verb); !others.empty()) {
      bars += fmt::format("['{}']='{}' ", argument.name, fmt::join(others, " "));
    }
  }
  if (!places.empty()) text += "          places=(" + places + ")\n";
  if (!bars.empty()) text += "          bars=(" + bars + ")\n";
  if (!repeats.empty()) text += "          repeats=(" + repeats + ")\n";
  return text + "          ;;\n";
}

// What _arguments of zsh takes: message and action.
std::string zsh_value(const Argument& argument) {
  const std::string name = replaced(value_name(argument), "%", "%%");
  std::string action = " ";
  if (!argument.choices.empty()) {
    action = "(";
    for (const std::string& choice : argument.choices) {
      action += (action.size() == 1 ? "" : " ") + escaped(choice, "\\ ():'\"$`*?[]~#;&|<>");
    }
    action += ")";
  } else if (argument.offer == Offer::files) {
    action = "_files";
  } else if (argument.offer == Offer::batches) {
    action = "_gylekeeper_batches";
  } else if (by_place(argument)) {
    // Its name is shown, but not to who began an option: zsh would not complete that then.
    action = "_guard \"^-*\" " + escaped(name, "\\ ():'\"$`*?[]~#;&|<>");
  }
  return fmt::format("{}:{}", escaped(name, "\\:"), action);
}

std::string zsh_spec(const Argument& argument, std::vector<std::string> bars) {
  std::string spec;
  if (by_place(argument)) {
    spec = may_repeat(argument) ? "*:" : argument.required ? ":" : "::";
    return one_word(spec + zsh_value(argument));
  }
  // Beside others an option has to be named among those that it bars.
  if (!bars.empty() && !may_repeat(argument)) bars.push_back(argument.name);
  if (!bars.empty()) spec += fmt::format("({})", fmt::join(bars, " "));
  if (may_repeat(argument)) spec += "*";
  spec +=
      fmt::format("{}{}[{}]", argument.name, is_flag(argument) ? "" : "=", escaped(argument.about, "\\[]:"));
  if (!is_flag(argument)) spec += ":" + zsh_value(argument);
  return one_word(spec);
}

}  // namespace

std::string bash_completion(std::span<const Verb> verbs) {
  CommonOptions common;
  std::string names, cases;
  for (const Verb& verb : verbs) {
    names += (names.empty() ? "" : "\n") + verb.name;
    cases += bash_case(verb);
  }
  std::string begin = replaced(kBashBegin, "VESSELS_IN_USE", kVesselsInUse);
  begin = replaced(begin, "COMMON", bash_takes(common_arguments(common)));
  return begin + cases + replaced(kBashEnd, "VERBS", names);
}

std::string zsh_completion(std::span<const Verb> verbs) {
  CommonOptions options;
  std::string text = replaced(kZshBegin, "VESSELS_IN_USE", kVesselsInUse);
  for (const Argument& argument : common_arguments(options)) text += "    " + zsh_spec(argument, {}) + "\n";
  text += "    '(- : *)--help[tell what there is]'\n  )\n  verbs=(\n";
  for (const Verb& verb : verbs) {
    text += "    " + one_word(escaped(verb.name, "\\:") + ":" + escaped(verb.about, "\\")) + "\n";
  }
  text +=
      "  )\n"
      "  _arguments -C $common '(- : *)--version[tell the version]' '(-)1: :->verb' '(-)*:: :->arguments' && "
      "return\n"
      "  case $state in\n"
      "    verb) _describe -t verbs verb verbs ;;\n"
      "    arguments)\n"
      "      opt_args_before=(\"${(@kv)opt_args}\")\n"
      "      for given in ${(k)opt_args}; do common=(${common:#${given}(=|)\\[*}); done\n"
      "      case $words[1] in\n";
  for (const Verb& verb : verbs) {
    text += fmt::format("        {})\n          _arguments $common", verb.name);
    for (const Argument& argument : verb.arguments) {
      text += " \\\n            " + zsh_spec(argument, barred_by(argument, verb));
    }
    text += "\n          ;;\n";
  }
  return text + "      esac\n      ;;\n  esac\n}\n\n_gylekeeper \"$@\"\n";
}

}  // namespace gyle
