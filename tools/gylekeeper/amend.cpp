#include "answer_lines.h"
#include "batch_options.h"
#include "config/batch_file.h"
#include "control/request_target.h"
#include "control_client.h"
#include "time_option.h"
#include "verbs.h"

namespace gyle {
namespace {

struct AmendOptions {
  std::string batch;
  BatchOptions description;
  std::optional<std::filesystem::path> batch_file;  // a whole new description
  std::optional<std::string> pitched;
  std::optional<std::string> packaged;
  std::optional<std::string> sample;  // its number
  std::optional<std::string> gravity;
  std::optional<std::string> temperature;
  std::optional<std::string> note;  // its number
  std::optional<std::string> text;
  std::optional<std::string> at;  // of the sample or the note
  bool take_back = false;
  bool in_vessel = false;
};

// The description with the given options applied.
Result<std::string> described(const AmendOptions& options, const std::string& address,
                              const ControlClient& daemon) {
  BatchSpec spec;
  if (options.batch_file) {
    BOOST_OUTCOME_TRY(written, load_batch(*options.batch_file));
    spec = written;
  } else {
    BOOST_OUTCOME_TRY(toml, daemon.get(address + "/description"));
    BOOST_OUTCOME_TRY(present, parse_batch(toml, "the batch"));
    spec = present;
  }
  BOOST_OUTCOME_TRYV(apply(options.description, spec));
  if (options.pitched) {
    BOOST_OUTCOME_TRY(time, time_option(*options.pitched, TimeSense::past, daemon));
    spec.pitched = time;
  }
  BOOST_OUTCOME_TRYV(validate_options(spec));
  return format_batch(spec);
}

Result<std::string> amended(const AmendOptions& options, const ControlClient& daemon) {
  const std::string address = "/v1/batches/" + percent_encoded(options.batch);
  const std::optional<std::string> back =
      options.take_back ? std::optional<std::string>("yes") : std::nullopt;
  BOOST_OUTCOME_TRY(at, time_query(options.at, TimeSense::past, daemon));
  if (options.sample) {
    return daemon.post(address + "/samples/" + percent_encoded(*options.sample) +
                           query_text({{"gravity", options.gravity},
                                       {"temperature", options.temperature},
                                       {"time", at},
                                       {"take_back", back}}),
                       "application/json", "");
  }
  if (options.note) {
    return daemon.post(address + "/notes/" + percent_encoded(*options.note) +
                           query_text({{"time", at}, {"take_back", back}}),
                       "text/plain; charset=utf-8", options.text.value_or(""));
  }
  if (options.packaged || options.in_vessel) {
    BOOST_OUTCOME_TRY(time, time_query(options.packaged, TimeSense::past, daemon));
    return daemon.post(
        address + "/packaged" +
            query_text({{"time", time},
                        {"take_back", options.in_vessel ? std::optional<std::string>("yes") : std::nullopt}}),
        "application/json", "");
  }
  BOOST_OUTCOME_TRY(toml, described(options, address, daemon));
  return daemon.post(address + "/description", "application/toml", toml);
}

// What is wrong with what was asked for; "" for nothing.
std::string misuse(const AmendOptions& o) {
  const bool description = o.description.any() || o.batch_file || o.pitched;
  const int things =
      (description ? 1 : 0) + (o.sample ? 1 : 0) + (o.note ? 1 : 0) + (o.packaged || o.in_vessel ? 1 : 0);
  if (things == 0)
    return "say what is to be corrected, as --original-gravity 1.050 or --sample 12 --gravity 1.012";
  if (things > 1) return "one thing at a time: the description, a sample, a note, or when it was packaged";
  if (o.sample && !o.take_back && !o.gravity && !o.at)
    return "give the sample its gravity or its time, or --take-back";
  if (o.note && !o.take_back && !o.text && !o.at) return "give the note its text or its time, or --take-back";
  return "";
}

Exit run_amend(const AmendOptions& options, const CommonOptions& common) {
  if (const std::string wrong = misuse(options); !wrong.empty()) {
    return complain(Error{Errc::missing, wrong}, Exit::wrong_use);
  }
  return show_answer(common, [&](const ControlClient& daemon) { return amended(options, daemon); });
}

}  // namespace

Verb amend_verb() {
  const auto o = std::make_shared<AmendOptions>();
  std::vector<Argument> arguments{batch_argument(&o->batch)};
  for (Argument& argument : batch_arguments(o->description)) arguments.push_back(std::move(argument));
  for (Argument& argument : std::vector<Argument>{
           {.name = "--batch",
            .place = &o->batch_file,
            .about = "BATCH.toml, which replaces the whole description",
            .offer = Offer::files},
           {.name = "--pitched", .place = &o->pitched, .about = "when the yeast went in"},
           {.name = "--sample",
           .place = &o->sample,
           .about = "the sample with this number (gylekeeper samples)"},
           {.name = "--gravity", .place = &o->gravity, .about = "of the sample", .needs = {"--sample"}},
           {.name = "--temperature",
           .place = &o->temperature,
           .about = "of the sample, as \"24 C\"; its gravity is then corrected",
           .needs = {"--gravity"}},
           {.name = "--note", .place = &o->note, .about = "the note with this number (gylekeeper notes)"},
           {.name = "--text", .place = &o->text, .about = "of the note", .needs = {"--note"}},
           {.name = "--at", .place = &o->at, .about = "the time of the sample or the note"},
           {.name = "--take-back", .place = &o->take_back, .about = "the sample or the note does not count"},
           {.name = "--packaged",
           .place = &o->packaged,
           .about = "when it was packaged, of a batch that has been"},
           {.name = "--in-vessel",
           .place = &o->in_vessel,
           .about = "it was marked as packaged in error: it is still in its vessel",
           .excludes = {"--packaged"}}}) {
    arguments.push_back(std::move(argument));
  }
  return {
      .name = "amend",
      .about = "correct an entry of a batch; the old entry is kept",
      .arguments = std::move(arguments),
      .notes = std::string("The batch is re-evaluated; alerts that no longer hold are withdrawn. gylekeeper "
                           "amendments lists the corrections, gylekeeper undo takes one back.\n\n") +
               kTimes,
      .examples = {"gylekeeper amend left --original-gravity 1.050",
                   "gylekeeper amend left --sample 4711 --gravity 1.012",
                   "gylekeeper amend left --note 3 --take-back",
                   "gylekeeper amend \"Amber no. 12\" --in-vessel"},
      .run = [o](const CommonOptions& common) { return run_amend(*o, common); }};
}

}  // namespace gyle
