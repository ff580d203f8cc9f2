#include "mqtt/publish_queue.h"

#include <algorithm>
#include <utility>

namespace gyle {

bool PublishQueue::add(std::string topic, std::string payload, bool retained, OnDone& on_done) {
  if (waiting_.size() >= kWaiting) return false;
  waiting_.push_back({std::move(topic), std::move(payload), retained, std::move(on_done), turns_++});
  return true;
}

PublishQueue::Outgoing PublishQueue::send(Ticket ticket) {
  const Publication& next = in_flight_.insert_or_assign(ticket, std::move(waiting_.front())).first->second;
  waiting_.pop_front();
  return {ticket, next.topic, next.payload, next.retained};
}

void PublishQueue::settle(Ticket ticket, const Status& status) {
  auto found = in_flight_.extract(ticket);
  if (found.empty()) return;
  if (!status && status.error().worth_retrying()) {
    wait_again(std::move(found.mapped()));
  } else {
    answers_.push_back({std::move(found.mapped().on_done), status});
  }
}

void PublishQueue::wait_again(Publication publication) {
  const auto place = std::find_if(waiting_.begin(), waiting_.end(),
                                  [&](const Publication& other) { return other.turn > publication.turn; });
  waiting_.insert(place, std::move(publication));
}

void PublishQueue::send_all_again() {
  for (auto& [ticket, publication] : std::exchange(in_flight_, {})) wait_again(std::move(publication));
}

void PublishQueue::close(const Error& error) {
  send_all_again();
  for (Publication& publication : std::exchange(waiting_, {})) {
    answers_.push_back({std::move(publication.on_done), error});
  }
}

std::vector<PublishQueue::Answer> PublishQueue::take_answers() { return std::exchange(answers_, {}); }

}  // namespace gyle
