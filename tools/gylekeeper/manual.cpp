#include "manual.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <sstream>

#include "usage.h"

namespace gyle {
namespace {

// Text that shows as it is: groff_char(7) says which characters are otherwise read, or shown as others.
std::string plain(const std::string& text) {
  std::string escaped;
  bool begins = true;  // a line, where . and ' are read
  for (const char c : text) {
    if (begins && (c == '.' || c == '\'')) escaped += "\\&";
    begins = c == '\n';
    switch (c) {
      case '\\':
        escaped += "\\e";
        break;
      case '-':
        escaped += "\\-";
        break;
      case '\'':
        escaped += "\\(aq";
        break;
      case '`':
        escaped += "\\(ga";
        break;
      case '^':
        escaped += "\\(ha";
        break;
      case '~':
        escaped += "\\(ti";
        break;
      default:
        escaped += c;
    }
  }
  return escaped;
}

std::string bold(const std::string& text) { return "\\fB" + plain(text) + "\\fR"; }
std::string italic(const std::string& text) { return "\\fI" + plain(text) + "\\fR"; }

std::string title(const std::string& name, const Edition& edition) {
  std::string upper = name;
  std::transform(upper.begin(), upper.end(), upper.begin(),
                 [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
  return fmt::format(".TH {} 1 {} \"gylekeeper {}\"\n.ad l\n.nh\n", plain(upper), edition.date,
                     edition.version);
}

std::string page_of(const Verb& verb) { return "gylekeeper-" + verb.name; }

// Names bold, what is given in italics.
std::string entry(const Argument& argument) {
  std::string tag = by_place(argument) ? "" : bold(argument.name);
  if (!is_flag(argument)) tag += (tag.empty() ? "" : " ") + italic(value_name(argument));
  return fmt::format(".TP\n{}\n{}.{}\n", tag, plain(capitalised(full_about(argument))),
                     may_repeat(argument) ? " May be given several times." : "");
}

std::string entries(const std::vector<Argument>& arguments, bool place) {
  std::string all;
  for (const Argument& argument : arguments) {
    if (by_place(argument) == place) all += entry(argument);
  }
  return all;
}

// Each line that begins with a space stays as it is; an empty one ends a paragraph.
std::string manual_paragraphs(const std::string& text) {
  std::string all;
  bool as_it_is = false, parted = true;
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);) {
    const bool indented = line.rfind(' ', 0) == 0;
    if (indented != as_it_is) all += indented ? ".PP\n.EX\n" : ".EE\n.PP\n";
    if (line.empty()) {
      parted = false;
    } else if (!parted) {
      if (!indented && !as_it_is) all += ".PP\n";
      parted = true;
    } else if (!indented && !as_it_is && !all.empty()) {
      all += ".br\n";
    }
    as_it_is = indented;
    if (!line.empty()) all += plain(line) + "\n";
  }
  return all + (as_it_is ? ".EE\n" : "");
}

std::string exit_status() {
  std::string all = ".SH EXIT STATUS\n";
  for (std::size_t code = 0; code < kExitMeanings.size(); ++code) {
    all += fmt::format(".TP\n.B {}\n{}.\n", code, plain(capitalised(kExitMeanings[code])));
  }
  return all;
}

}  // namespace

std::string verb_manual(const Verb& verb, const Edition& edition) {
  std::string page = title(page_of(verb), edition);
  page += fmt::format(".SH NAME\n{} \\- {}\n", plain(page_of(verb)), plain(verb.about));
  page += ".SH SYNOPSIS\n.B gylekeeper";
  const std::vector<std::string> parts = usage(verb);
  page += " " + plain(parts.front()) + "\n";
  for (std::size_t i = 1; i < parts.size(); ++i) page += plain(parts[i]) + "\n";
  page += ".SH DESCRIPTION\n" + plain(capitalised(verb.about)) + ".\n" + entries(verb.arguments, true);
  if (const std::string options = entries(verb.arguments, false); !options.empty()) {
    page += ".SH OPTIONS\n" + options;
  }
  if (!verb.notes.empty()) page += ".SH NOTES\n" + manual_paragraphs(verb.notes);
  page += ".SH EXAMPLES\n.EX\n";
  for (const std::string& example : verb.examples) page += plain(example) + "\n";
  page +=
      ".EE\n.SH SEE ALSO\n.BR gylekeeper (1):\nthe options of every verb, and the meaning of the exit "
      "status\n";
  return page;
}

std::string tool_manual(std::span<const Verb> verbs, const Edition& edition) {
  std::string page = title("gylekeeper", edition);
  page +=
      ".SH NAME\ngylekeeper \\- watch over fermenting beer\n"
      ".SH SYNOPSIS\n.B gylekeeper\n.I VERB\n[\\fIARGUMENT\\fR]...\n"
      ".SH DESCRIPTION\n"
      "Asks the daemon\n.BR gylekeeperd (8),\nwhich watches fermenting beer through its sensors, how the "
      "batches are, and enters what only the brewer can observe.\n"
      "Some verbs do their work without the daemon.\n"
      "Each has a page of its own, such as\n.BR gylekeeper\\-status (1),\nand shows the same with "
      "\\fB\\-\\-help\\fR.\n"
      ".SH VERBS\n";
  for (const Verb& verb : verbs) {
    page += fmt::format(".TP\n{}\n{}\n", bold(verb.name), plain(capitalised(verb.about)) + ".");
  }
  CommonOptions common;
  page += ".SH OPTIONS\nEvery verb takes these, before or after its name.\n" +
          entries(common_arguments(common), false) +
          ".TP\n\\fB\\-\\-help\\fR\nShow the verbs; after a verb, what it takes.\n"
          ".TP\n\\fB\\-\\-version\\fR\nShow the version.\n" +
          exit_status() +
          ".SH FILES\n"
          ".TP\n.I /etc/gylekeeper/gylekeeper.toml\nThe configuration, where every option is explained.\n"
          ".TP\n.I /run/gylekeeper/control.sock\n"
          "Through which the daemon is asked: the daemon's user and group may.\n"
          ".SH SEE ALSO\n.BR gylekeeperd (8)";
  for (const Verb& verb : verbs) page += ",\n.BR " + plain(page_of(verb)) + " (1)";
  return page + "\n";
}

}  // namespace gyle
