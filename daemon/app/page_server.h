#pragma once

#include <memory>

#include "base/clock.h"
#include "config/page_settings.h"
#include "control/event_hub.h"
#include "control/http_server.h"
#include "web/site.h"

namespace gyle {

// The page and the API on the network, as configured. Reads the secret, the certificate and the key.
//   errors   with the name of the setting to change. Sessions end with the server
//   threads  those of HttpServer; `clock` and `hub` must outlive it
Result<std::unique_ptr<HttpServer>> serve_page(boost::asio::io_context& io, const PageSettings& settings,
                                               Site::Rooms rooms, const Clock& clock, EventHub& hub);

}  // namespace gyle
