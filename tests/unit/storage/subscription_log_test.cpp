#include "storage/subscription_log.h"

#include <catch2/catch.hpp>

#include "messages.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;
using Filters = std::vector<std::string>;

TEST_CASE("filters are remembered across configurations and restarts, each once") {
  const TempDir dir;
  {
    Database db = open(dir / "journal.db");
    SubscriptionLog log(db);
    CHECK(log.remember({}).value().empty());
    CHECK(log.remember({"cellar/+", "attic/#"}).value() == Filters{"attic/#", "cellar/+"});
  }
  Database db = open(dir / "journal.db");
  CHECK(SubscriptionLog(db).remember({"cellar/+", "shed/it's"}).value() ==
        Filters{"attic/#", "cellar/+", "shed/it's"});
}
