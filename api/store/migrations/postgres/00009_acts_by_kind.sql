-- +goose Up

-- Trainings, appointments, exceptions and policies are listed newest first.
CREATE INDEX acts_of_kind ON acts (kind, seq);
