#include "control/routes.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string_view>

#include "control/alert_routes.h"
#include "control/amendment_routes.h"
#include "control/batch_routes.h"
#include "control/calibration_routes.h"
#include "control/cellar_routes.h"
#include "control/check_routes.h"
#include "control/import_routes.h"
#include "control/json_answer.h"
#include "control/openapi.h"
#include "control/packaging_routes.h"
#include "control/recipe_routes.h"
#include "control/report_routes.h"
#include "control/request_target.h"
#include "control/sensor_routes.h"
#include "control/set_point_routes.h"
#include "control/yeast_routes.h"

namespace gyle {
namespace {

HttpResponse document(const Call&) { return {.body = std::string(openapi_document())}; }

constexpr Route kRoutes[] = {
    {"GET", "/v1/openapi.json", document},
};

bool leads_to(std::string_view path, const std::vector<std::string>& segments) {
  for (const std::string& segment : segments) {
    if (path.empty()) return false;
    path.remove_prefix(1);  // the slash
    const std::string_view part = path.substr(0, path.find('/'));
    if (part.front() != '{' && part != segment) return false;
    path.remove_prefix(part.size());
  }
  return path.empty();
}

}  // namespace

std::vector<Route> routes() {
  std::vector<Route> all;
  for (const std::span<const Route> some :
       {cellar_routes(), batch_routes(), packaging_routes(), report_routes(), alert_routes(),
        amendment_routes(), sensor_routes(), calibration_routes(), yeast_routes(), import_routes(),
        check_routes(), set_point_routes(), recipe_routes(), std::span<const Route>(kRoutes)}) {
    all.insert(all.end(), some.begin(), some.end());
  }
  return all;
}

HttpResponse respond(const HttpRequest& request, Cellar& cellar, const DisplaySettings& display) {
  const auto target = parse_request_target(request.target);
  if (!target) return problem(target.error());
  std::string allowed;
  for (const Route& route : routes()) {
    if (!leads_to(route.path, target.value().segments)) continue;
    if (request.method == route.method) {
      return route.answer(Call{request, target.value(), cellar, display});
    }
    allowed += (allowed.empty() ? "" : ", ") + std::string(route.method);
  }
  return allowed.empty() ? problem(404, "there is nothing at this address") : wrong_method(allowed.c_str());
}

}  // namespace gyle
