package words

// What two phones did apart.
func init() {
	add(map[string]string{
		"repaired": "{what}: {to}; the way had put it on {from}.",
	}, map[string]string{
		"repaired": "{what}: {to}; la salida lo había puesto el {from}.",
	})
}
