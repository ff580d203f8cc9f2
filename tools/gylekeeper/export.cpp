#include <fmt/format.h>

#include "control/request_target.h"
#include "control_client.h"
#include "output_file.h"
#include "tool_settings.h"
#include "verbs.h"

namespace gyle {

Exit run(const ExportOptions& options, const CommonOptions& common) {
  const auto socket = control_socket(common);
  if (!socket) return complain(socket.error(), Exit::wrong_use);
  const std::string what = options.what == "raw" ? "readings" : options.what;
  const auto csv = ControlClient(socket.value())
                       .get_csv(fmt::format("/v1/batches/{}/{}.csv", percent_encoded(options.batch), what));
  if (!csv) return complain(csv.error());
  const auto written = write_out(options.output, csv.value());
  return written ? Exit::ok : complain(written.error());
}

}  // namespace gyle
