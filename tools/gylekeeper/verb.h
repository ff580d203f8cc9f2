#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "exit_code.h"

namespace gyle {

// Options that every verb takes.
struct CommonOptions {
  std::optional<std::filesystem::path> config;  // absent: the usual place, where it may be missing
  std::optional<std::filesystem::path> socket;  // absent: as the configuration says
  bool json = false;                            // for machines
};

// Where what was given is put. A bool makes a flag; a vector may be given several times.
using Place = std::variant<bool*, std::string*, std::optional<std::string>*, std::vector<std::string>*,
                           std::filesystem::path*, std::optional<std::filesystem::path>*, std::uint64_t*,
                           std::optional<std::uint64_t>*>;

// What a shell may offer in an argument's place.
enum class Offer { nothing, files, batches };

// An option ("--at"), or what is given by its place ("batch").
struct Argument {
  std::string name;
  Place place;
  std::string about;       // one phrase: "when it was taken, as 18:00 today; now when not given"
  std::string value = {};  // what help calls that which is given: "TIME"; see value_name in usage.h
  bool required = false;
  Offer offer = Offer::nothing;
  std::vector<std::string> choices = {};   // nothing else is taken
  std::vector<std::string> needs = {};     // options that must be given with it
  std::vector<std::string> excludes = {};  // options that cannot be given with it
  // What is wrong with a value, "" for nothing.
  std::function<std::string(const std::string&)> check = {};
};

// All there is to say about a verb. The command line, its help, the manual and the completions of shells are
// made from this.
struct Verb {
  std::string name;
  std::string about;  // one phrase, without a full stop
  std::vector<Argument> arguments = {};
  std::string notes = {};                  // paragraphs below the arguments
  std::vector<std::string> examples = {};  // whole commands, one or more
  // Does its work and says what came of it. The arguments have been put into their places.
  std::function<Exit(const CommonOptions&)> run = {};
};

// What many verbs say alike: how times are written.
extern const char* const kTimes;

// The same argument of several verbs: the batch it is about; of a hydrometer, with --temperature, the temperature
// that it is made for; of a refractometer, with --refractometer, its wort correction.
enum class Given { always, at_choice };
Argument batch_argument(Place place, Given given = Given::always);
Argument calibrated_at_argument(Place place);
Argument wort_correction_argument(Place place);

// --config, --socket and --json.
std::vector<Argument> common_arguments(CommonOptions& common);

// A check that takes whole numbers from `least` to `most`.
std::function<std::string(const std::string&)> whole_number(std::uint64_t least, std::uint64_t most);

}  // namespace gyle
