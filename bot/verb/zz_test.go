package verb_test
import ("testing";"os";"strings";"fmt")
func TestZZ(t *testing.T){ for _,l:=range strings.Split(os.Getenv("ZZ"),"|"){ fmt.Println(l,"=>",understand(t,l)) } }
