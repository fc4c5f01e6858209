package api

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
)

// schema is the part of JSON Schema (2020-12) that our types need.
type schema struct {
	Ref         string             `json:"$ref,omitempty"`
	Type        string             `json:"type,omitempty"`
	Format      string             `json:"format,omitempty"`
	Description string             `json:"description,omitempty"`
	Enum        []string           `json:"enum,omitempty"`
	Pattern     string             `json:"pattern,omitempty"`
	MinLength   *int               `json:"minLength,omitempty"`
	MaxLength   *int               `json:"maxLength,omitempty"`
	Minimum     *int               `json:"minimum,omitempty"`
	Maximum     *int               `json:"maximum,omitempty"`
	Items       *schema            `json:"items,omitempty"`
	MinItems    *int               `json:"minItems,omitempty"`
	MaxItems    *int               `json:"maxItems,omitempty"`
	UniqueItems bool               `json:"uniqueItems,omitempty"`
	Properties  map[string]*schema `json:"properties,omitempty"`
	Required    []string           `json:"required,omitempty"`
	Additional  *bool              `json:"additionalProperties,omitempty"`
}

// schema describes a type; read says that it is read from people, who may send nothing beyond it.
func (em *emitter) schema(t reflect.Type, read bool) *schema {
	switch t {
	case uuidType:
		return &schema{Type: "string", Format: "uuid"}
	case timeType:
		return &schema{Type: "string", Format: "date-time"}
	case dateType:
		return &schema{Type: "string", Format: "date"}
	}
	switch t.Kind() {
	case reflect.String:
		return &schema{Type: "string", Enum: wordsOf(t)}
	case reflect.Bool:
		return &schema{Type: "boolean"}
	case reflect.Int:
		s := &schema{Type: "integer"}
		if read {
			s.Minimum, s.Maximum = new(int), new(int)
			*s.Minimum, *s.Maximum = math.MinInt32, math.MaxInt32
		}
		return s
	case reflect.Int64:
		return &schema{Type: "integer", Format: "int64"}
	case reflect.Float64:
		return &schema{Type: "number"}
	case reflect.Pointer:
		return em.schema(t.Elem(), read)
	case reflect.Slice:
		return &schema{Type: "array", Items: em.schema(t.Elem(), read)}
	case reflect.Struct:
		return em.structure(t, read)
	}
	panic(fmt.Sprintf("openapi.json: no schema for %v", t))
}

// structure describes a struct once and refers to it.
func (em *emitter) structure(t reflect.Type, read bool) *schema {
	n := title(t)
	if known, ok := em.types[n]; ok && known != t {
		panic(fmt.Sprintf("openapi.json: %v and %v have one name", known, t))
	} else if !ok {
		s := &schema{Type: "object", Properties: map[string]*schema{}}
		em.types[n], em.schemas[n] = t, s
		if read {
			s.Additional = new(bool)
		}
		for _, f := range reflect.VisibleFields(t) {
			if f.Anonymous { // its fields stand among the others, as encoding/json writes them
				continue
			}
			p := em.field(f, read)
			p.Description = f.Tag.Get("about")
			s.Properties[name(f, "json")] = p
			if !optional(f) && !strings.Contains(f.Tag.Get("json"), ",omit") {
				s.Required = append(s.Required, name(f, "json"))
			}
		}
	}
	return &schema{Ref: "#/components/schemas/" + n}
}

// field describes a field: its type, as far as its validator tag lets it go.
func (em *emitter) field(f reflect.StructField, read bool) *schema {
	s := em.schema(f.Type, read)
	on, t := s, f.Type
	for tag := range strings.SplitSeq(f.Tag.Get("validate"), ",") {
		if tag == "dive" {
			on, t = s.Items, t.Elem()
			continue
		}
		key, param, _ := strings.Cut(tag, "=")
		narrow(on, t, key, param)
	}
	return s
}

// narrow puts one rule of a validator tag into a schema.
func narrow(s *schema, t reflect.Type, key, param string) {
	text := t.Kind() == reflect.String
	switch {
	case key == "" || key == "omitempty":
	case key == "required" && text:
		s.MinLength = count("1")
	case key == "required":
	case key == "min" && text:
		s.MinLength = count(param)
	case key == "max" && text:
		s.MaxLength = count(param)
	case key == "len" && text:
		s.MinLength, s.MaxLength = count(param), count(param)
	case key == "oneof" && text:
		s.Enum, s.MinLength = strings.Fields(param), nil
	case key == "hexadecimal" && text:
		s.Pattern = "^[0-9a-fA-F]+$"
	case key == "min" && t.Kind() == reflect.Slice:
		s.MinItems = count(param)
	case key == "max" && t.Kind() == reflect.Slice:
		s.MaxItems = count(param)
	case key == "unique" && t.Kind() == reflect.Slice:
		s.UniqueItems = true
	case key == "min" && t.Kind() == reflect.Int:
		s.Minimum = count(param)
	case key == "max" && t.Kind() == reflect.Int:
		s.Maximum = count(param)
	default:
		panic(fmt.Sprintf("openapi.json: no words for %s=%s on %v", key, param, t))
	}
}

func count(s string) *int {
	n, err := strconv.Atoi(s)
	if err != nil {
		panic(fmt.Sprintf("openapi.json: %v", err))
	}
	return &n
}

// wordsOf lists the values of a type that has a fixed set of them; nil for free text.
func wordsOf(t reflect.Type) []string {
	switch t {
	case reflect.TypeFor[account.Role]():
		return texts(account.Roles()...)
	case reflect.TypeFor[brief.Phase]():
		return texts(brief.AsFound, brief.AsLeft)
	case reflect.TypeFor[brief.Form]():
		return texts(brief.FormPhoto, brief.FormReading, brief.FormTest, brief.FormObservation, brief.FormSequence, brief.FormFigure,
			brief.FormChoice, brief.FormAnswer, brief.FormConfirm, brief.FormDocument)
	case reflect.TypeFor[decision.State]():
		return texts(decision.Planned, decision.Open, decision.HandedOver, decision.Checked, decision.Decided, decision.MoreToDo,
			decision.SignedOff, decision.Cleared, decision.Claimed, decision.Archived, decision.Destroyed, decision.SafetyStopped,
			decision.Suspended, decision.UnderAppeal, decision.Withdrawn, decision.SetAside)
	case reflect.TypeFor[decision.Kind]():
		return texts(decision.KindHoldRelease, decision.KindCheckReading, decision.KindCriterion, decision.KindOverride,
			decision.KindSignOff, decision.KindMoreToDo, decision.KindSafetyStop, decision.KindClearStop, decision.KindMarkAgain, decision.KindCorrected,
			decision.KindTakeIn, decision.KindGoOnWithout, decision.KindWithdraw, decision.KindObservation, decision.KindOral,
			decision.KindQuestion, decision.KindCountersign, decision.KindAcknowledge, decision.KindAppeal, decision.KindAppealOutcome,
			decision.KindAdjustment, decision.KindOneMore, decision.KindSample, decision.KindClear, decision.KindClaim, decision.KindSuspend,
			decision.KindResume, decision.KindSetAside, decision.KindLeave, decision.KindReturn, decision.KindArchive, decision.KindDestroy)
	case reflect.TypeFor[app.RemarkState]():
		return texts(app.RemarkMarking, app.RemarkStopped, app.RemarkMarked, app.RemarkTaking, app.RemarkTaken, app.RemarkDropped)
	case reflect.TypeFor[marking.Shift]():
		return texts(marking.Same, marking.Up, marking.Down, marking.Mixed, marking.Aside)
	case reflect.TypeFor[decision.Order]():
		return texts(decision.Before, decision.After, decision.NotProved)
	case reflect.TypeFor[decision.SpotState]():
		return texts(decision.SpotWaiting, decision.SpotConfirmed, decision.SpotRefused)
	case reflect.TypeFor[decision.Refusal]():
		return texts(decision.RefusedReplayed, decision.RefusedAltered, decision.RefusedExpired, decision.RefusedSelfMade,
			decision.RefusedNotEntitled, decision.RefusedNotRight)
	case reflect.TypeFor[decision.SealKind]():
		return texts(decision.SealEntry, decision.SealFile)
	case reflect.TypeFor[decision.Reason]():
		return texts(decision.Reasons()...)
	case reflect.TypeFor[marking.Verdict]():
		return texts(marking.Correct, marking.FollowThrough, marking.Wrong, marking.ToRead, marking.UnitMissing, marking.UnitWrong,
			marking.NotAttempted, marking.WithinLimit, marking.OutsideLimit, marking.Recorded)
	}
	return nil
}

func texts[T ~string](list ...T) []string {
	return each(list, func(x T) string { return string(x) })
}
