// Package hold keeps the modules that are about to be used in go.mod while packages are being written.
package hold

import (
	_ "github.com/alecthomas/kong"
	_ "github.com/alexedwards/argon2id"
	_ "github.com/alexedwards/scs/v2"
	_ "github.com/getkin/kin-openapi/openapi3"
	_ "github.com/go-fonts/dejavu/dejavusans"
	_ "github.com/go-playground/validator/v10"
	_ "github.com/goccy/go-yaml"
	_ "github.com/golang-migrate/migrate/v4"
	_ "github.com/golang-migrate/migrate/v4/database/pgx/v5"
	_ "github.com/golang-migrate/migrate/v4/source/iofs"
	_ "github.com/google/go-cmp/cmp"
	_ "github.com/google/uuid"
	_ "github.com/gowebpki/jcs"
	_ "github.com/jackc/pgx/v5/pgxpool"
	_ "github.com/jba/templatecheck"
	_ "github.com/labstack/echo/v4"
	_ "github.com/labstack/echo/v4/middleware"
	_ "github.com/peterldowns/pgtestdb"
	_ "github.com/riverqueue/river"
	_ "github.com/riverqueue/river/riverdriver/riverpgxv5"
	_ "github.com/riverqueue/river/rivermigrate"
	_ "golang.org/x/image/draw"
	_ "golang.org/x/image/font/sfnt"
	_ "pgregory.net/rapid"
)
