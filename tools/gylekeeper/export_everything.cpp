#include "export_everything.h"

#include <fmt/format.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <memory>
#include <nlohmann/json.hpp>

#include "control/request_target.h"

namespace gyle {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

// A file that has its name only when it is whole.
class NewFile {
 public:
  explicit NewFile(fs::path path) : path_(std::move(path)), partial_(path_) {
    partial_ += ".partial";
    file_.reset(std::fopen(partial_.c_str(), "wb"));
  }

  NewFile(const NewFile&) = delete;
  NewFile& operator=(const NewFile&) = delete;
  ~NewFile() {
    if (file_) std::remove(partial_.c_str());
  }

  Status write(std::string_view text) {
    const bool written = file_ && std::fwrite(text.data(), 1, text.size(), file_.get()) == text.size();
    return written ? Status(success()) : failure();
  }

  Status finish() {
    if (!file_ || std::fclose(file_.release()) != 0) return failure();
    return std::rename(partial_.c_str(), path_.c_str()) == 0 ? Status(success()) : failure();
  }

 private:
  Status failure() const {
    return fail(Errc::storage, fmt::format("cannot write {}: {}", path_.string(), std::strerror(errno)));
  }

  fs::path path_, partial_;
  std::unique_ptr<std::FILE, int (*)(std::FILE*)> file_{nullptr, &std::fclose};
};

Status write_whole(const fs::path& path, const std::string& text) {
  NewFile file(path);
  BOOST_OUTCOME_TRYV(file.write(text));
  return file.finish();
}

Result<Json> parsed(const std::string& body) {
  Json json = Json::parse(body, nullptr, false);
  if (!json.is_discarded()) return json;
  return fail(Errc::malformed, "the daemon's answer is not understood; it may be of another version");
}

// A list that comes in pages.
Result<Json> list_of(const ControlClient& daemon, const std::string& target, const char* name) {
  Json all = Json::array();
  BOOST_OUTCOME_TRYV(daemon.get_pages(target, [&](const std::string& body) -> Status {
    BOOST_OUTCOME_TRY(page, parsed(body));
    for (Json& item : page[name]) all.push_back(std::move(item));
    return success();
  }));
  return all;
}

class Export {
 public:
  Export(const ControlClient& daemon, fs::path folder) : daemon_(daemon), folder_(std::move(folder)) {}

  Result<std::string> run() {
    BOOST_OUTCOME_TRYV(begin());
    BOOST_OUTCOME_TRYV(batches());
    BOOST_OUTCOME_TRY(yeasts, list_of(daemon_, "/v1/yeasts", "yeasts"));
    BOOST_OUTCOME_TRYV(put("yeasts.json", yeasts));
    BOOST_OUTCOME_TRYV(calibrations());
    BOOST_OUTCOME_TRY(watcher, list_of(daemon_, "/v1/alerts", "alerts"));
    std::sort(watcher.begin(), watcher.end(), [](const Json& a, const Json& b) { return a["id"] < b["id"]; });
    BOOST_OUTCOME_TRYV(put("watcher.json", watcher));
    manifest_["complete"] = true;
    BOOST_OUTCOME_TRYV(write_whole(folder_ / "manifest.json", manifest_.dump(1) + "\n"));
    return manifest_.dump(1) + "\n";
  }

 private:
  Status begin() {
    std::error_code error;
    fs::create_directories(folder_, error);
    if (!fs::is_directory(folder_, error)) {
      return fail(Errc::storage, fmt::format("cannot make the folder {}", folder_.string()));
    }
    if (!fs::is_empty(folder_, error) && !fs::exists(folder_ / "manifest.json", error)) {
      return fail(Errc::conflict,
                  fmt::format("{} holds something else; give the name of a new or empty folder, "
                              "or of an earlier export",
                              folder_.string()));
    }
    BOOST_OUTCOME_TRY(body, daemon_.get("/v1/status"));
    BOOST_OUTCOME_TRY(status, parsed(body));
    manifest_ = {{"complete", false},
                 {"written", status["daemon"]["now"]},
                 {"version", status["daemon"]["version"]},
                 {"files", Json::array()},
                 {"left_out", Json::array()}};
    return write_whole(folder_ / "manifest.json", manifest_.dump(1) + "\n");
  }

  void list(const std::string& file, const char* of_what, std::size_t count) {
    manifest_["files"].push_back({{"file", file}, {of_what, count}});
  }

  Status put(const std::string& file, const Json& items) {
    list(file, "items", items.size());
    return write_whole(folder_ / file, items.dump(1) + "\n");
  }

  // Written a batch at a time: there may be many.
  Status batches() {
    BOOST_OUTCOME_TRY(all, list_of(daemon_, "/v1/batches", "batches"));
    NewFile file(folder_ / "batches.json");
    BOOST_OUTCOME_TRYV(file.write("["));
    const char* between = "\n";
    for (Json& batch : all) {
      BOOST_OUTCOME_TRY(whole, whole_batch(batch));
      BOOST_OUTCOME_TRYV(file.write(between + whole.dump(1)));
      between = ",\n";
      BOOST_OUTCOME_TRYV(tables(batch));
    }
    BOOST_OUTCOME_TRYV(file.write("\n]\n"));
    list("batches.json", "items", all.size());
    return file.finish();
  }

  Result<Json> whole_batch(Json& batch) {
    const auto id = batch["id"].get<std::int64_t>();
    const std::string address = fmt::format("/v1/batches/{}", id);
    for (const char* const what : {"notes", "samples", "alerts", "amendments"}) {
      auto items = list_of(daemon_, address + "/" + what, what);
      if (!items) {
        BOOST_OUTCOME_TRYV(leave_out(batch, fmt::format("batch-{} {}", id, what), items.error()));
      }
      batch[what] = items ? std::move(items.value()) : Json::array();
    }
    const auto description = daemon_.get(address + "/description");
    if (description) {
      batch["description_toml"] = description.value();
    } else {
      BOOST_OUTCOME_TRYV(leave_out(batch, fmt::format("batch-{} description", id), description.error()));
    }
    return batch;
  }

  // A batch whose description cannot be read lacks some things; of others that is a failure.
  Status leave_out(const Json& batch, const std::string& what, const Error& error) {
    if (!batch.contains("unreadable") || error.code == Errc::unavailable || error.code == Errc::storage) {
      return error;
    }
    manifest_["left_out"].push_back({{"what", what}, {"why", error.message}});
    return success();
  }

  Status tables(const Json& batch) {
    const auto id = batch["id"].get<std::int64_t>();
    const std::string name = fmt::format("batch-{}", id);
    std::error_code ignored;
    fs::create_directories(folder_ / name, ignored);
    for (const char* const what : {"readings", "curve", "alerts", "notes"}) {
      const std::string file = fmt::format("{}/{}.csv", name, what);
      NewFile csv(folder_ / file);
      std::size_t rows = 0;
      bool quoted = false;
      const auto got =
          daemon_.get_csv(fmt::format("/v1/batches/{}/{}.csv", id, what), [&](std::string_view page) {
            for (const char c : page) {  // a line break within quotes ends no row
              quoted = quoted != (c == '"');
              rows += c == '\n' && !quoted ? 1 : 0;
            }
            return csv.write(page);
          });
      if (!got) {
        BOOST_OUTCOME_TRYV(leave_out(batch, file, got.error()));
        continue;
      }
      BOOST_OUTCOME_TRYV(csv.finish());
      list(file, "rows", rows - 1);  // without the header
    }
    return success();
  }

  Status calibrations() {
    BOOST_OUTCOME_TRY(sensors, list_of(daemon_, "/v1/sensors", "sensors"));
    Json all = Json::array();
    for (const Json& sensor : sensors) {
      const auto id = sensor["sensor"].get<std::string>();
      const auto body = daemon_.get("/v1/sensors/" + percent_encoded(id) + "/calibration");
      if (!body && body.error().code == Errc::not_found) continue;
      if (!body) return body.error();
      BOOST_OUTCOME_TRY(calibration, parsed(body.value()));
      if (calibration["calibrations"].empty()) continue;
      calibration.erase("lines");
      all.push_back(std::move(calibration));
    }
    return put("calibrations.json", all);
  }

  const ControlClient& daemon_;
  fs::path folder_;
  Json manifest_;
};

}  // namespace

Result<std::string> export_everything(const ControlClient& daemon, const fs::path& folder) {
  return Export(daemon, folder).run();
}

}  // namespace gyle
