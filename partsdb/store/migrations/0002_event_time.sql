-- What changed after a day is looked up in the history by its time.
CREATE INDEX event_at ON event (at);
