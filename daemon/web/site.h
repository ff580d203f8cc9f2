#pragma once

#include <functional>
#include <span>
#include <string>

#include "base/clock.h"
#include "control/http_message.h"
#include "web/access.h"
#include "web/page/page_assets.h"

namespace gyle {

// What the daemon serves through the network, within access.h: the page ("/", "/service-worker.js", "/page/..."), "/session"
// (web/access.h), "/vessels" (web/vessels_page.h), the feeds "/calendar.ics" (RFC 5545) and "/metrics" (OpenMetrics), and what the control
// socket answers, "/v1/...".
class Site {
 public:
  struct Rooms {
    HttpHandler control;
    std::function<HttpResponse()> calendar = {};
    std::function<HttpResponse()> metrics = {};
    std::function<HttpResponse()> vessels = {};
    std::span<const Asset> assets = {};
  };
  // `clock` must outlive this.
  Site(Access access, Rooms rooms, const Clock& clock);

  HttpResponse answer(HttpRequest request);

 private:
  HttpResponse nowhere(const HttpRequest& request) const;

  Access access_;
  Rooms rooms_;
  const Clock& clock_;
};

}  // namespace gyle
