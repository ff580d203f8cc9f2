#include "app/self_reporter.h"

#include <spdlog/spdlog.h>

#include <cmath>

#include "notices/evidence_json.h"
#include "storage/outbox.h"

namespace gyle {
namespace {

constexpr std::chrono::seconds kCheckAtStart{2};  // of the database; a small one is read whole in that

}  // namespace

SelfReporter::SelfReporter(Database& database, Announcer& announcer, const AlertRouting& routing,
                           const Clock& clock, std::filesystem::path file, DisplaySettings display,
                           Effects effects, Duration clock_patience)
    : database_(database),
      announcer_(announcer),
      routing_(routing),
      clock_(clock),
      file_(std::move(file)),
      display_(std::move(display)),
      effects_(std::move(effects)),
      clock_patience_(clock_patience),
      run_log_(database) {}

void SelfReporter::check_database() {
  const auto whole = database_.quick_check(kCheckAtStart);
  if (whole) return;
  damage_ = whole.error().message + "; stop gylekeeperd, then use `gylekeeper restore` with a backup, or " +
            "`gylekeeper salvage`, which saves what can still be read";
  spdlog::error("{}", damage_);
  show_database();
}

Status SelfReporter::begin(bool gone) {
  gone_ = gone;
  auto begun = begin_run();
  if (!begun && begun.error().worth_retrying()) {
    own_trouble_ = begun.error().message;
    show_database();
  }
  return begun;
}

Status SelfReporter::begin_run() {
  BOOST_OUTCOME_TRY(open, open_trouble());
  BOOST_OUTCOME_TRYV(Outbox(database_).keep_only(routing_.names(), clock_.now()));
  BOOST_OUTCOME_TRY(earlier, run_log_.begin(clock_.now()));
  watch_ = std::make_unique<SelfWatch>(open, clock_patience_);
  if (gone_) report(SystemAlertKind::database_new, Decision::State::raised);
  if (damaged() != reported_damage_) {
    report(SystemAlertKind::database_damaged,
           reported_damage_ ? Decision::State::withdrawn : Decision::State::raised);
  }
  report(watch_->begin(earlier, look_at_machine(clock_, file_)));
  return success();
}

Result<SelfWatch::OpenTrouble> SelfReporter::open_trouble() {
  BOOST_OUTCOME_TRY(alerts, Outbox(database_).open());
  SelfWatch::OpenTrouble open;
  for (const StoredAlert& alert : alerts) {
    if (alert.batch) continue;
    if (alert.kind == name(SystemAlertKind::disk_low)) open.disk_low = true;
    if (alert.kind == name(SystemAlertKind::database_damaged)) reported_damage_ = true;
    if (alert.kind == name(SystemAlertKind::database_unwritable)) reported_unwritable_ = true;
    if (alert.kind == name(SystemAlertKind::clock_behind)) open.clock_behind = alert.time;
    if (alert.kind == name(SystemAlertKind::broker_lost)) {
      const auto since = find(parse_evidence(alert.evidence), "lost_since_time");
      open.broker_lost_since = since ? Time(Duration(std::llround(*since * 1000))) : alert.time;
    }
  }
  return open;
}

void SelfReporter::look(bool broker_connected) {
  announcer_.catch_up();
  look_at_database();
  if (watch_) report(watch_->look(look_at_machine(clock_, file_), broker_connected, shown_behind_));
}

// A trouble that is over at the next look needs no alert.
void SelfReporter::look_at_database() {
  const auto noted = watch_ ? run_log_.alive(clock_.now()) : begin_run();
  if (!noted && own_trouble_.empty()) spdlog::error("{}", noted.error().message);
  own_trouble_ = noted ? "" : noted.error().message;
  show_database();
  const bool unwritable = !messages_trouble_.empty() || !own_trouble_.empty();
  if (unwritable == reported_unwritable_) return;
  reported_unwritable_ = unwritable;
  if (!unwritable) {
    report(SystemAlertKind::database_unwritable, Decision::State::withdrawn);
    effects_.drop_unstored();
  } else if (!report(SystemAlertKind::database_unwritable, Decision::State::raised)) {
    if (const auto alert = announcer_.last_unstored(display_)) effects_.send_unstored(*alert);
  }
}

void SelfReporter::stop() {
  if (!watch_) return;
  if (const auto noted = run_log_.stopped(clock_.now()); !noted) {
    spdlog::error("{}", noted.error().message);
  }
}

void SelfReporter::messages_trouble(const std::string& trouble) {
  messages_trouble_ = trouble;
  show_database();
}

void SelfReporter::show_database() {
  const std::string& trouble = !messages_trouble_.empty() ? messages_trouble_ : own_trouble_;
  effects_.show_database(trouble.empty() ? damage_ : trouble);
}

void SelfReporter::message_unstorable() {
  if (std::exchange(reported_unstorable_, true)) return;
  report(SystemAlertKind::message_unstorable, Decision::State::raised);
}

bool SelfReporter::report(SystemAlertKind kind, Decision::State state) {
  return announcer_.report(kind, state, {}, clock_.now(), display_);
}

void SelfReporter::report(const std::vector<SystemReport>& news) {
  for (const SystemReport& one : news) {
    announcer_.report(one.kind, one.state, one.evidence, one.time, display_);
  }
}

}  // namespace gyle
