// Backup and restore by the tool.

#include <catch2/catch.hpp>
#include <fstream>

#include "served_socket.h"
#include "storage/backup.h"
#include "storage/batch_store.h"
#include "storage/note_store.h"
#include "support/temp_dir.h"
#include "verbs.h"

using namespace gyle;
namespace fs = std::filesystem;

namespace {

void give(const Verb& verb, const std::string& name, const fs::path& value) {
  for (const Argument& argument : verb.arguments) {
    if (argument.name != name) continue;
    if (const auto* path = std::get_if<fs::path*>(&argument.place)) return void(**path = value);
    if (const auto* path = std::get_if<std::optional<fs::path>*>(&argument.place))
      return void(**path = value);
  }
  FAIL("no argument " << name);
}

Exit run(const Verb& verb, const fs::path& file, const CommonOptions& common) {
  give(verb, "file", file);
  return verb.run(common);
}

}  // namespace

TEST_CASE("the database of the configuration is copied, and put back when the daemon is away") {
  const test::TempDir dir;
  std::ofstream(dir / "c.toml") << "[storage]\ndatabase = \"" << (dir / "j.db").string()
                                << "\"\n[control]\nsocket = \"" << (dir / "s").string() << "\"\n";
  CommonOptions common;
  common.config = dir / "c.toml";
  {
    Database db = std::move(Database::open(dir / "j.db")).value();
    const auto id = BatchStore(db).pitch({"left", "Amber", Time(days(20000)), "x"});
    CHECK(run(backup_verb(), dir / "b.db", common) == Exit::ok);
    CHECK(run(backup_verb(), dir / "b.db", common) == Exit::failed);  // it is there
    REQUIRE(NoteStore(db).add(id.value(), Time(days(20001)), "Later."));
    CHECK(run(restore_verb(), dir / "b.db", common) == Exit::failed);  // in use
  }
  {
    const test::Daemon daemon(dir / "s", [](const HttpRequest&) { return HttpResponse{.body = "{}"}; });
    CHECK(run(restore_verb(), dir / "b.db", common) == Exit::failed);
  }
  CHECK(check_database_file(dir / "j.db").value().notes == 1);
  CHECK(run(restore_verb(), dir / "b.db", common) == Exit::ok);
  CHECK(check_database_file(dir / "j.db").value().notes == 0);
  CHECK(run(restore_verb(), dir / "none.db", common) == Exit::failed);

  const Verb elsewhere = backup_verb();
  give(elsewhere, "--database", dir / "none.db");
  CHECK(run(elsewhere, dir / "c.db", common) == Exit::failed);
  CHECK_FALSE(fs::exists(dir / "c.db"));
}
